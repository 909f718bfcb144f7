"""Playing order: repeats, endings, form, choruses, settings and the choice of bars."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.limits import MAX_CHORUSES, MAX_PLAYED_BARS
from porchswing.chart.model import Chart, LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import form_of, unroll
from porchswing.errors import OptionError
from support.strategies import charts


def played(road: Roadmap) -> str:
    """Return the roots of the bars in playing order."""
    return "".join(str(bar.slots[0].chord.root) for bar in road.bars if bar.slots[0].chord)


# common practice, no source: how repeats and endings are played
@pytest.mark.parametrize(
    ("bars", "order"),
    [
        ("| A | B |", "AB"),
        ("|: A | B :| C |", "ABABC"),
        ("|:A|B:|C|", "ABABC"),
        ("| A | B :| C |", "ABABC"),
        ("| A |: B :|x3 C |", "ABBBC"),
        ("|: A :| B :| C |", "AABBC"),
        ("|: A :|: B :| C |", "AABBC"),
        ("|: A |1 B :|2 C | D |", "ABACD"),
        ("|: A |1 B :| |2 C | D |", "ABACD"),
        ("|: A |1 B | C :|2 D | E ||", "ABCADE"),
        ("|: A |1 B :|x3 |2 C |", "ABABAC"),
        ("|: A |1 B :|2 C :|3 D |", "ABACAD"),
        ("|: A |1 B :|2 C |: D :| E |", "ABACDDE"),
        ("| G |: A |1 B :|2 C |: D |1 E :|2 F |", "GABACDEDF"),
        ("|: A |1 B :| C |", "ABAC"),
        ("|: A |1 B :|", "ABA"),
        ("|: A |1 B :|2 C :| D |", "ABACD"),
        ("|: A |1 B | C :|x3 |2 D |", "ABCABCAD"),
    ],
)
def test_repeats_and_endings(bars: str, order: str) -> None:
    assert played(unroll(parse_chart(f"[A]\n{bars}\n"))) == order


def test_a_repeat_far_down_a_long_section() -> None:
    text = "[A]\n" + "| F " * 300 + "|: A |1 B | C :|2 D | E |\n"
    assert played(unroll(parse_chart(text))) == "F" * 300 + "ABCADE"


TUNE = """\
form: A x2 B A
intro: I
ending: T
strum: four
tempo: 100
[I]
| E |
[A]
| A | B |
strum: rag
line: 4 down
tempo: 90
| C |
[B]
| D |
[T]
| G |
"""


@pytest.fixture
def tune() -> Chart:
    return parse_chart(TUNE)


def test_intro_choruses_and_ending(tune: Chart) -> None:
    road = unroll(tune, choruses=2)
    assert played(road) == "E" + "ABCABCDABC" * 2 + "G"
    assert [bar.chorus for bar in road.bars] == [0, *[1] * 10, *[2] * 11]
    assert [bar.role for bar in road.bars] == ["intro", *["form"] * 20, "ending"]
    passes = [bar.pass_number for bar in road.bars if bar.section == "A" and bar.bar == 1]
    assert passes == [1, 2, 3, 4, 5, 6]
    assert [bar.bar for bar in road.bars[1:5]] == [1, 2, 3, 1]


def test_settings_hold_to_the_section_end(tune: Chart) -> None:
    road = unroll(tune)
    strums = "".join({"four": "f", "rag": "r"}[str(bar.settings.strum)] for bar in road.bars)
    assert strums == "f" + "ffrffrfffr" + "f"
    assert [bar.settings.tempo_bpm for bar in road.bars[1:4]] == [100.0, 100.0, 90.0]
    assert road.bars[3].settings.line == LineTarget(4, "down")
    assert road.bars[4].settings.line is None


def test_a_chosen_section_plays_alone(tune: Chart) -> None:
    assert played(unroll(tune, sections=("A",))) == "ABC"
    assert played(unroll(tune, sections=("B", "A"), choruses=2)) == "DABCDABC"
    assert played(unroll(tune, sections=("A",), bars=(2, 3))) == "BC"
    assert played(unroll(tune, bars=(3, 5))) == "CAB"
    assert {bar.role for bar in unroll(tune, bars=(1, 1)).bars} == {"form"}


def test_bars_of_a_section_are_the_written_ones() -> None:
    chart = parse_chart("[A]\n|: A | B :| C |")
    assert played(unroll(chart, sections=("A",))) == "ABABC"
    assert played(unroll(chart, sections=("A",), bars=(1, 3))) == "ABC"
    assert played(unroll(chart, bars=(2, 5))) == "BABC"


def test_without_a_form_everything_plays_once() -> None:
    chart = parse_chart("intro: I\n[I]\n| A |\n[B]\n| B |\n[C]\n| C |\n")
    assert form_of(chart) == ("B", "C")
    assert played(unroll(chart)) == "ABC"
    alone = parse_chart("intro: I\nending: I\n[I]\n| A |\n")
    assert played(unroll(alone)) == "AAA"


def test_swing_lane_and_melody() -> None:
    chart = parse_chart("[A]\nplain | C | G |\nswing | E | F |\nmelody | C4:4 | r:4 |\n[B]\n| D |")
    assert played(unroll(chart, "swing")) == "EFD"
    assert played(unroll(chart, "plain")) == "CGD"
    melody = [bar.melody for bar in unroll(chart, "swing").bars]
    assert [len(notes) for notes in melody] == [1, 1, 0]
    assert melody[0][0].pitch == 60


def test_beats_follow_the_meter() -> None:
    road = unroll(parse_chart("meter: 6/8\n[A]\n| C G | C / / / G / |"))
    assert [bar.beats for bar in road.bars] == [Fraction(3), Fraction(3)]
    assert [[slot.beats for slot in bar.slots] for bar in road.bars] == [
        [Fraction(3, 2), Fraction(3, 2)],
        [Fraction(2), Fraction(1)],
    ]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"choruses": 0}, "choruses must be 1"),
        ({"choruses": MAX_CHORUSES + 1}, "choruses must be 1"),
        ({"sections": ("Z",)}, "unknown section 'Z'"),
        ({"sections": ()}, "no section was named"),
        ({"sections": ("A",), "bars": (2, 9)}, "section A has bars 1 to 3"),
        ({"bars": (0, 1)}, "bars 1 to 10"),
        ({"bars": (5, 4)}, "bars 1 to 10"),
    ],
)
def test_what_is_not_there_is_refused(tune: Chart, arguments: dict, message: str) -> None:
    with pytest.raises(OptionError, match=message):
        unroll(tune, **arguments)


def test_a_long_day_is_refused() -> None:
    chart = parse_chart("form: A x16\n[A]\n|: " + "F | " * 50 + "F :|x16\n")
    with pytest.raises(OptionError, match=f"{MAX_PLAYED_BARS:,}"):
        unroll(chart)
    short = parse_chart("[A]\n" + "| F " * 200 + "|")
    with pytest.raises(OptionError, match="fewer choruses"):
        unroll(short, choruses=60)


@given(charts(), st.sampled_from(("plain", "swing")), st.integers(1, 3))
def test_bars_follow_each_other(chart: Chart, lane: str, choruses: int) -> None:
    road = unroll(chart, lane, choruses)
    start = Fraction(0)
    for bar in road.bars:
        assert bar.start_beats == start
        assert sum((slot.beats for slot in bar.slots), Fraction(0)) == bar.beats
        assert bar.settings.tempo_bpm is not None
        start += bar.beats
    assert road.beats == start
    assert {bar.chorus for bar in road.bars if bar.role == "form"} == set(range(1, choruses + 1))


def test_a_later_setting_leaves_the_earlier_ones_in_force() -> None:
    chart = parse_chart("[A]\nstrum: charleston\n| F | C7 |\nbass: walk\n| F |\ntempo: 90\n| F |\n")
    found = [bar.settings for bar in unroll(chart, "plain").bars]
    assert [(one.strum, one.bass, one.tempo_bpm) for one in found] == [
        ("charleston", None, 120.0),
        ("charleston", None, 120.0),
        ("charleston", "walk", 120.0),
        ("charleston", "walk", 90.0),
    ]
