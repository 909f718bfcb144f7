"""A voice's range, counted note by note, said by the chart or an option, and the keys it ranks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Singer
from porchswing.chart.singer import singer_of, singing_doubts
from porchswing.chart.transpose import transpose
from porchswing.errors import ChartError, OptionError
from porchswing.grips.search.best_key import rank_keys

TUNE = "key: C\n\n[A]\nplain | C | G7 | C |\nmelody | C4:2 E4:2 | G4:2 F4:2 | E5:4 |\n"


@pytest.mark.parametrize(
    "text", ["", "A3", "A3-D5", "D5..A3", "A3..A3", "H3..D5", "A3..r", "..", "A3..D5..E5"]
)
def test_a_wrong_range_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(OptionError, match=r"A3\.\.D5"):
        singer_of(text)
    if text:
        with pytest.raises(ChartError, match="A3 D5"):
            parse_chart(f"range: {text}\n{TUNE}")


def test_keys_that_can_be_sung_come_first() -> None:
    """The tune spans C to the E a tenth above: G3..B4 holds it from G alone."""
    ranks = rank_keys(parse_chart(TUNE), singer=singer_of("G3..B4"))
    assert (str(ranks[0].key), ranks[0].notes_outside) == ("G", 0)
    assert all(rank.notes_outside for rank in ranks[1:])


def test_without_a_singer_the_voice_counts_nothing() -> None:
    assert not any(rank.notes_outside for rank in rank_keys(parse_chart(TUNE)))


@pytest.mark.parametrize("said", ["G3 B4", "G3..B4", "G3 .. B4"])
def test_the_range_of_a_chart_ranks_as_the_option_does(said: str) -> None:
    chart = parse_chart(f"range: {said}\n{TUNE}")
    assert chart.singer == Singer(55, 71)
    assert rank_keys(chart) == rank_keys(parse_chart(TUNE), singer=chart.singer)
    wide = rank_keys(chart, singer=Singer(40, 90))
    assert not any(rank.notes_outside for rank in wide)


def test_a_range_stays_the_singers_in_another_key() -> None:
    chart = parse_chart(f"range: A3 D5\n{TUNE}")
    moved = parse_chart(write_chart(transpose(chart, "F")))
    assert moved.singer == chart.singer
    assert "range:  A3 D5" in write_chart(replace(parse_chart(TUNE), singer=Singer(57, 74)))


def test_a_melody_outside_the_range_is_doubted_where_it_leaves_it() -> None:
    (doubt,) = singing_doubts(parse_chart(f"range: C4 D5\n{TUNE}"))
    assert (doubt.line, doubt.column) == (6, 34)
    assert "E5 lies above the range C4 D5: one note of 5 cannot be sung" in doubt.message
    assert "--keys" in doubt.hint
    assert not list(singing_doubts(parse_chart(f"range: C4 E5\n{TUNE}")))


def test_a_singer_may_take_the_whole_tune_an_octave_lower() -> None:
    assert not list(singing_doubts(parse_chart(f"range: C3 E4\n{TUNE}")))
    (doubt,) = singing_doubts(parse_chart(f"range: C3 D4\n{TUNE}"))
    assert "also an octave or more away" in doubt.message
