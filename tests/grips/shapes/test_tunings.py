"""Instruments as data, and tunings given as notes."""

from __future__ import annotations

import pytest

from porchswing.errors import TuningError
from porchswing.grips.shapes.tunings import ROWS, TUNINGS, note_midi, tuning


def test_the_table_has_no_doubles():
    names = [row[0] for row in ROWS] + [alias for row in ROWS for alias in row[5].split()]
    assert len(names) == len(set(names))
    assert len({known.open_midi for known in TUNINGS.values()}) == len(ROWS)


# scientific pitch notation: A4 = 440 Hz = MIDI 69 (ISO 16); standard tunings: common practice
@pytest.mark.parametrize(
    ("name", "midi"),
    [
        ("gCEA", (67, 60, 64, 69)),
        ("GCEA", (55, 60, 64, 69)),
        ("low-g", (55, 60, 64, 69)),
        ("aDF#B", (69, 62, 66, 71)),
        ("aDF♯B", (69, 62, 66, 71)),
        ("baritone", (50, 55, 59, 64)),
        ("guitar", (40, 45, 50, 55, 59, 64)),
        ("tenor-banjo", (48, 55, 62, 69)),
        ("mandolin", (55, 62, 69, 76)),
        ("g4 c4 e4 a4", (67, 60, 64, 69)),
        ("G3, D4, A4", (55, 62, 69)),
        ("f#3 bb3 c♯4", (54, 58, 61)),
    ],
)
def test_open_strings(name, midi):
    assert tuning(name).open_midi == midi


def test_strings_count_from_the_floor():
    uke = tuning("gCEA")
    assert [uke.index(string) for string in (4, 3, 2, 1)] == [0, 1, 2, 3]
    assert uke.open_midi[uke.index(1)] == note_midi("A4")


def test_a_bass_is_heard_on_linear_tunings_only():
    assert not tuning("gCEA").hears_bass
    assert tuning("GCEA").hears_bass
    assert tuning("guitar").hears_bass


def test_chosen_strings():
    four = tuning("guitar 6432")
    assert four.used == (0, 2, 3, 4)
    assert four.played_strings == (6, 4, 3, 2)
    assert tuning("EADGBE:4321").used == (2, 3, 4, 5)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("gcea!", "unknown tuning"),
        ("mandolinn", "did you mean mandolin"),
        ("gcee", "did you mean gCEA"),
        ("GCEB", "did you mean gCEA"),
        ("g c e a", "with octaves"),
        ("g4 c4", "3 to 6 strings, got 2"),
        ("c4 c4 c4 c4 c4 c4 c4", "3 to 6 strings, got 7"),
        ("g9 c4 e4", "between A0 and C7"),
        ("guitar 7432", "unknown tuning"),
        ("gCEA 543", "has strings 4 to 1"),
        ("", "unknown tuning"),
    ],
)
def test_bad_tunings_say_why(text, message):
    with pytest.raises(TuningError, match=message):
        tuning(text)


@pytest.mark.parametrize("name", ["soprano", "concert", "tenor", "ukulele"])
def test_the_sizes_of_a_ukulele_are_tuned_alike(name):
    """A soprano was answered with a banjo."""
    assert tuning(name).name == "gCEA"
