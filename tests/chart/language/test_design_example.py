"""The chart every page of the documentation shows, read as it is meant."""

from __future__ import annotations

from fractions import Fraction

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart, SwingSetting
from porchswing.chart.unroll import unroll

EXAMPLE = """\
# a line that starts with # is a comment
title:  Lantern Street Stroll
key:    F
meter:  4/4
tempo:  138
swing:  auto
tuning: gCEA
strum:  four
form:   A A B A
ending: Tag

[A]
| F  Dm7 | Gm7 C7 | F  Dm7 | Gm7 C7 |
| F  F7  | Bb  Bbm | F  C7 | F      |

[B]
plain | Bb | % | F | % | Bb | Bbm | C7 | % |
swing | Bb6{slide} | % | F6 Am7 | Abm7 | Gm7 | Bbm6 | Gm7 | C9 / C7b9@6767 / |

[Tag]
| F F7 | Bb Bdim7 | F/C C7 | F{hold} |
"""


@pytest.fixture
def chart() -> Chart:
    return parse_chart(EXAMPLE)


def symbols(chart: Chart, name: str, lane: str) -> list[list[str]]:
    bars = chart.section(name).lane(lane)
    return [[slot.chord.symbol for slot in bar.slots if slot.chord] for bar in bars]


def test_header(chart: Chart) -> None:
    assert chart.title == "Lantern Street Stroll"
    assert (str(chart.key), str(chart.meter), chart.tempo_bpm) == ("F", "4/4", 138.0)
    assert chart.settings.swing == SwingSetting(None)
    assert (chart.tuning, chart.settings.strum) == ("gCEA", "four")
    assert chart.form == ("A", "A", "B", "A")
    assert (chart.intro, chart.ending) == (None, "Tag")
    assert [section.name for section in chart.sections] == ["A", "B", "Tag"]


def test_lanes(chart: Chart) -> None:
    assert chart.section("A").swing is None
    assert symbols(chart, "A", "plain") == [
        ["F", "Dm7"], ["Gm7", "C7"], ["F", "Dm7"], ["Gm7", "C7"],
        ["F", "F7"], ["Bb", "Bbm"], ["F", "C7"], ["F"],
    ]  # fmt: skip
    plain = symbols(chart, "B", "plain")
    assert plain == [["Bb"], ["Bb"], ["F"], ["F"], ["Bb"], ["Bbm"], ["C7"], ["C7"]]
    swing = symbols(chart, "B", "swing")
    assert swing == [
        ["Bb6"], ["Bb6"], ["F6", "Am7"], ["Abm7"], ["Gm7"], ["Bbm6"], ["Gm7"], ["C9", "C7b9"],
    ]  # fmt: skip


def test_beats_locks_and_marks(chart: Chart) -> None:
    swing = chart.section("B").lane("swing")
    assert swing[0].slots[0].marks == ("slide",)
    assert swing[1].is_percent
    assert swing[7].slots[1].lock == (6, 7, 6, 7)
    assert [slot.beats for slot in swing[7].slots] == [Fraction(2), Fraction(2)]
    last = chart.section("Tag").plain[3].slots[0]
    assert (last.beats, last.marks) == (Fraction(4), ("hold",))
    assert str(chart.section("Tag").plain[2].slots[0].chord.bass) == "C"


def test_unrolled(chart: Chart) -> None:
    road = unroll(chart, "swing", choruses=2)
    assert len(road.bars) == 2 * 32 + 4
    assert road.beats == 4 * 68
    assert [bar.start_beats for bar in road.bars] == [4 * i for i in range(68)]
    first_chorus = [bar for bar in road.bars if bar.chorus == 1]
    assert [b.section for b in first_chorus[::8]] == ["A", "A", "B", "A"]
    assert [b.pass_number for b in first_chorus[::8]] == [1, 2, 1, 3]
    assert {bar.role for bar in road.bars[-4:]} == {"ending"}
    assert road.bars[0].settings.tempo_bpm == 138.0
    assert road.bars[0].settings.strum == "four"


def test_it_is_written_back_as_typed(chart: Chart) -> None:
    assert write_chart(chart) == EXAMPLE
    assert write_chart(chart) == EXAMPLE
