"""What a lane pays for: far chords at an opening, long slides, and saying the same thing twice."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Bar
from porchswing.harmony.choice.cell_edges import LONG_SLIDE, Edge, meeting_points
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.scoring import ROOT, STEPWISE, lead_points, points_of
from porchswing.harmony.choice.styles import OPENING
from porchswing.harmony.passage.flow import flow_of, passage
from porchswing.harmony.swaps.catalogue import group_of
from porchswing.theory.symbols import parse_chord
from support.form_types import FORM_TYPES

FAR = {"tritone", "slip"}


def lane(bars: tuple[Bar, ...]) -> list[str]:
    return [" ".join(slot.chord.symbol for slot in bar.slots if slot.chord) for bar in bars]


@pytest.mark.parametrize("depth", [3, 4])
def test_the_first_bar_of_a_section_says_where_we_are(depth: int) -> None:
    assert set(OPENING) >= FAR
    for name, text in FORM_TYPES.items():
        for swap in reharmonize(parse_chart(text), depth).swaps:
            far = group_of(swap.name) in FAR and swap.bar == 1 and swap.bars == 1
            assert not far, (name, swap.name)


def test_the_bass_falls_by_fifths_then_slides_then_steps_then_moves_by_thirds() -> None:
    """In semitones upward: a falling fifth 5, slides 11 and 1, steps 2 and 10, thirds 3 and 9."""
    assert ROOT[5] > ROOT[11] > ROOT[1] > ROOT[2] == ROOT[10]
    assert min(ROOT[step] for step in (2, 10)) >= max(ROOT[third] for third in (3, 9)) > 0.0
    assert 6 not in ROOT, "a tritone in the bass leads nowhere by itself"


def test_a_slide_of_dominants_wears_out() -> None:
    left, right = parse_chord("Db7"), parse_chord("C7")
    long = meeting_points(Edge(left, (), -1), Edge(right, (), -1))
    short = meeting_points(Edge(left, (), -1), Edge(right, (), 0))
    assert long < short
    bass = meeting_points(Edge(parse_chord("F"), (), 1), Edge(parse_chord("F#dim7"), (), 1))
    once = meeting_points(Edge(parse_chord("F"), (), 1), Edge(parse_chord("F#dim7"), (), 0))
    assert bass > once, "a line in the bass under other chords does not"
    assert LONG_SLIDE > 0


def test_a_like_phrase_is_not_played_the_same_at_depth_4() -> None:
    bars = lane(reharmonize(parse_chart(FORM_TYPES["rhythm"]), 4).chart.section("A").lane("swing"))
    assert bars[0:2] != bars[2:4]


def test_the_chromatic_ii_v_of_a_blues_stands_in_bar_8() -> None:
    """Abm7 Db7 | Gm7 in F: the ii falls in bar 9, where the last line begins."""
    text = FORM_TYPES["blues"]
    found = reharmonize(parse_chart(text), 0, use=["chromatic ii–V from above"])
    assert lane(found.chart.section("Blues").lane("swing"))[6:10] == ["F7", "Abm7 Db7", "Gm7", "C7"]


def test_a_dominant_just_heard_is_no_backdoor_into_another_key() -> None:
    """Eb7 has been V of Ab: before F it cannot be the flat seventh."""
    bars = "| Ab | Fm | Bbm | Eb7 | C7 |"
    found = reharmonize(
        parse_chart(f"key: F\nform: A B\n[A]\n{bars}\n[B]\n| F | % | Bb | F |\n"),
        0,
        use=["backdoor iv7 ♭VII7"],
    )
    assert lane(found.chart.section("A").lane("swing"))[-1] == "C7"


@pytest.mark.parametrize(("goal", "colour"), [("F", "E7"), ("A7", "E9")])
def test_no_ninth_a_semitone_above_the_root_ahead(goal: str, colour: str) -> None:
    found = reharmonize(parse_chart(f"key: C\n[A]\n| C | E7 | {goal} | Dm | G7 | C |\n"), 1)
    assert lane(found.chart.section("A").lane("swing"))[1] == colour


@pytest.mark.parametrize(("first", "second", "far"), [("Db7", "G7", True), ("G7", "Db7", False)])
def test_a_far_chord_in_the_first_bar_counts_though_the_swap_goes_on(
    first: str, second: str, far: bool
) -> None:
    chart = parse_chart("key: C\n[A]\n| G7 | Gm7 | C | C | F | F | C | C |\n")
    part = passage(chart, ("A",), range(8), flow_of(chart))
    steps = tuple(
        step._replace(chord=parse_chord(name))
        for step, name in zip(part.steps, (first, second), strict=False)
    )
    tastes = {"tritone substitution": 0.0, "related ii": 0.0}
    away, near = (points_of(part, 0, 2, steps, [name], tastes) for name in tastes)
    assert group_of("related ii") not in OPENING
    assert near - away == pytest.approx(OPENING["tritone"] if far else 0.0)


@pytest.mark.parametrize("left", ["G7", "G(#5)"])
def test_a_third_a_semitone_away_leads_on_from_above_and_from_below(left: str) -> None:
    """F falls to the third of C, D sharp rises to it; G B D has neither."""
    goal = parse_chord("C")
    more = lead_points(parse_chord(left), goal) - lead_points(parse_chord("G"), goal)
    assert more == pytest.approx(STEPWISE)
