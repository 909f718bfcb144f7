"""What a performance made by hand is, where nothing else is said."""

from __future__ import annotations

import pytest

from support.hand_performances import note, performance


def test_a_take_starts_with_its_music_unless_there_is_a_count_in():
    take = performance(2.0, bass=[note(0.0, 1.0, 40)])
    assert (take.music_start_s, take.meter, take.key) == (0.0, (4, 4), "C")


def test_a_part_is_found_by_its_name():
    take = performance(2.0, chords=[note(0.0, 1.0, 67)], bass=[note(0.0, 1.0, 40)])
    assert take.part("bass") is take.parts[1]
    with pytest.raises(KeyError, match="drums"):
        take.part("drums")
