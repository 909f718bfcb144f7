"""What ``check`` doubts in a handwritten swing lane, and what it must leave alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.harmony.analysis.review import fitting_spellings, review
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.theory.keys import Key
from support.lanes import short_chart
from support.strategies import tunes
from support.swap_cases import CASES

GOOD = (
    ("| C | G7 | C |", "| C6 | Dm7 G9sus4 | C6 |"),
    ("| F | C |", "| F6 Fm7 | C6 |"),
    ("| C | % | F |", "| C6 | Gm7 C9 | F6 |"),
    ("| C | Dm | G7 | C |", "| C/E Ebdim7 | Dm7 | Dm7/G G7 | C6 |"),
    ("| C | % | Am |", "| C6 | Bm7b5 E7b9 | Am7 |"),
    ("| C | Am | Dm | G7 | C |", "| Cmaj7 | Am7 | Ab7 | G7 | C6 |"),
    ("| C | G7 | C |", "| C6 | Dm7 Db7 | C6/9 |"),
    ("| C | Dm | G7 | C |", "| C6 C#dim7 | Dm7 | G7 | C6 |"),
    ("| Em | Dm | G7 | C |", "| Em7 Ebdim7 | Dm9 | Bb9 | Cmaj7 |"),
    ("| A7 | % | D7 | % | G7 | % | C |", "| Em7 | A9 | D9 | Ab7 | G9 | G7#5 | C6 |"),
    ("| F | C |", "| F6 Fm6 | C6 |"),
    ("| C | % | F |", "| C | C+ C7 | F6 |"),
    ("| C | G7 | C |", "| Am7 | G13 | C |"),
    ("| C7 | F7 | % | C7 |", "| C7 | F7 | B7 | C7 |"),
    ("| C | F | C |", "| C6 | Abmaj7 | C6 |"),
    ("| C | Em | Dm | G7 | C |", "| C Dm7 | Em7 | Dm7 | G7 | C6 |"),
    ("| Dm | G7 | C |", "| Abmaj7 | Bb7 | C6 |"),
    ("| F Fm | Em A7 | Dm |", "| Fmaj7 Bb7 | Em7 A7 | Dm7 |"),
    ("| C | % | % | % | Dm |", "| C6 | Fmaj7 | Em7b5 | Eb9 | Dm7 |"),
)
DOUBTFUL = (
    ("| Dm | G7 | C |", "| Dm7 | Gmaj7 | C6 |", "has no tritone"),
    ("| C | G7 | C |", "| C6 | Dm7 | C6 |", "is left standing for G7"),
    ("| C | G7 | C |", "| C6 | G11 | C6 |", "holds the eleventh over its major third"),
    ("| G7 | Am |", "| Db7 | Am7 |", "does not resolve"),
    ("| C | Dm | G7 | C |", "| C6 | F#m7 | G7 | C6 |", "does not do what Dm does"),
    ("| C | G7 | C |", "| C6 | Emaj7 | C6 |", "does not do what G7 does"),
    ("| C | Dm | G7 | C |", "| C6 | Dm7 | C#7 | C6 |", "C# is spelled against the key of C"),
)


def with_swing(plain: str, swing: str, melody: str = "", key: str = "C") -> Chart:
    extra = f"\nmelody {melody}" if melody else ""
    return short_chart(f"{plain}\nswing {swing}{extra}", key=key)


@pytest.mark.parametrize(("plain", "swing"), GOOD)
def test_nothing_to_doubt(plain: str, swing: str) -> None:
    for pc in range(12):
        chart = with_swing(plain, swing)
        moved = transpose(chart, Key(chart.key.spell(pc)).simple)
        assert review(moved) == (), moved.key


@pytest.mark.parametrize(("plain", "swing", "message"), DOUBTFUL)
def test_doubts_are_told_where_they_stand(plain: str, swing: str, message: str) -> None:
    chart = with_swing(plain, swing)
    problems = review(chart)
    assert any(message in problem.message for problem in problems)
    text = write_chart(chart).splitlines()
    for problem in problems:
        word = text[problem.line - 1][problem.column - 1 :].split()[0]
        assert problem.message.startswith(word[:2])
        assert problem.hint


def test_spelling_hint_names_the_better_chord() -> None:
    chart = with_swing("| C | Dm | G7 | C |", "| C6 | Dm7 | C#7 | C6 |")
    (problem,) = review(chart)
    assert problem.hint == "write Db7"


def test_melody_clash_in_a_handwritten_lane() -> None:
    chart = with_swing("| C | G7 |", "| Cmaj7 | G7 |", "| C5:4 | B4:4 |")
    (problem,) = review(chart)
    assert "semitone above B" in problem.message
    assert "C5" in problem.hint
    free = with_swing("| C | G7 |", "| Cmaj7 | G7 |", "| G4:4 | B4:4 |")
    assert review(free) == ()


def test_home_in_the_last_bar_of_a_tune_is_not_doubted() -> None:
    """The turnaround comes home the last time; in any other place the same chord loses V."""
    plain, swing = "| A7 | Bm7 E7 |", "| A9 | E9 A6/9 |"
    once = f"key: A\n[A]\n{plain}\nswing {swing}\n"
    assert review(parse_chart(once)) == ()
    inside = parse_chart(f"key: A\nform: A B\n[B]\n| D7 | A |\n{once.removeprefix('key: A')}")
    assert ["does not do what" in problem.message for problem in review(inside)] == [True]


def test_a_chart_without_handwriting_has_no_doubts() -> None:
    assert review(short_chart("| C | F#m | Eb7 |")) == ()


@pytest.mark.parametrize("name", ["lantern_street_stroll", "moth_at_the_window"])
def test_demos_have_nothing_to_doubt(root: Path, name: str) -> None:
    assert review(read_chart(root / "demos" / f"{name}.changes")) == ()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.integers(1, 4))
def test_our_own_lanes_are_never_doubted(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, depth)
    assert [str(problem) for problem in review(lead.chart)] == []


MAJORS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "Gb", "Cb", "C#")
MINORS = ("A", "Bb", "B", "C", "C#", "D", "D#", "Eb", "E", "F", "F#", "G", "G#", "A#", "Ab")


@pytest.mark.parametrize("key", [*MAJORS, *(f"{tonic} minor" for tonic in MINORS)])
def test_roots_are_spelled_for_the_key(key: str) -> None:
    """In every key: no double signs, and no white key written as a flat or sharp of another."""
    wanted = Key.parse(key)
    home = "| C Am | Dm G7 | C C7 | F Fm | E7 | A7 | Dm | G7 | C | % |"
    small = "| Am | Dm | E7 | Am | A7 | Dm | Bm7b5 E7 | Am |"
    source = short_chart(small, key="A minor") if wanted.mode == "minor" else short_chart(home)
    chart = transpose(source, wanted)
    for depth in range(1, 5):
        for bar in reharmonize(chart, depth).chart.section("A").lane("swing"):
            for slot in bar.slots:
                assert slot.chord is not None
                root = slot.chord.root
                assert abs(root.alter) <= 1
                assert str(root) not in ("Cb", "Fb", "E#", "B#") or root in wanted.scale


def test_spellings_follow_the_way_the_root_goes() -> None:
    key = Key.parse("C")
    c, d = (parse_chart(f"[A]\n| {name} |\n").section("A").plain[0].slots[0].chord for name in "CD")
    down, up = fitting_spellings(1, key, None, [c]), fitting_spellings(1, key, c, [d], passing=True)
    assert [str(note) for note in down] == ["Db"]
    assert "C#" in [str(note) for note in up]


@pytest.mark.parametrize("name", CASES)
def test_no_example_of_the_catalogue_is_doubted(name: str) -> None:
    case = CASES[name]
    chart = short_chart(case.bars, key=case.key, ending=case.ending, melody=case.tune)
    assert review(reharmonize(chart, 0, use=[name]).chart) == ()
