"""A voice's range, counted note by note, and the keys it ranks."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.singer import Singer
from porchswing.errors import OptionError
from porchswing.grips.search.best_key import rank_keys

TUNE = "key: C\n\n[A]\nplain | C | G7 | C |\nmelody | C4:2 E4:2 | G4:2 F4:2 | E5:4 |\n"


@pytest.mark.parametrize(
    "text", ["", "A3", "A3-D5", "D5..A3", "A3..A3", "H3..D5", "A3..r", "..", "A3..D5..E5"]
)
def test_a_wrong_range_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(OptionError, match=r"A3\.\.D5"):
        Singer.parse(text)


def test_keys_that_can_be_sung_come_first() -> None:
    """The tune spans C to the E a tenth above: G3..B4 holds it from G alone."""
    ranks = rank_keys(parse_chart(TUNE), singer=Singer.parse("G3..B4"))
    assert (str(ranks[0].key), ranks[0].notes_outside) == ("G", 0)
    assert all(rank.notes_outside for rank in ranks[1:])


def test_without_a_singer_the_voice_counts_nothing() -> None:
    assert not any(rank.notes_outside for rank in rank_keys(parse_chart(TUNE)))
