"""What holds for any chart: lengths, preconditions in the finished lane, keys, the way back.

The preconditions are those of ``support/lane_rules.py``, checked on the finished lane.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.harmony.analysis.review import review
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize, swing_lane
from porchswing.harmony.passage import functions, steps
from porchswing.harmony.passage.steps import Need
from porchswing.harmony.swaps import formulas, passing, substitutions, turnarounds
from porchswing.harmony.swaps.catalogue import SWAPS, rows_for
from porchswing.theory.chords import Chord
from support.form_types import FORM_TYPES
from support.lane_rules import broken
from support.strategies import charts, tunes

lane_property = settings(
    max_examples=200 if os.environ.get("CI") else 40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


@lane_property
@given(tunes(), st.integers(1, 4))
def test_every_swap_holds_in_the_finished_lane(chart: Chart, depth: int) -> None:
    assert broken(reharmonize(chart, depth)) == []


def test_a_turnaround_leads_home_from_each_of_the_sections_that_stay_alike() -> None:
    """C goes home on three ways of seven; A, with the same bars, on all of them."""
    bars = "| C | C | C | C | Dm | G7 | C | C |"
    head = "key: C\nmeter: 3/4\ntempo: 138\nform: A C C B\nending: C\n"
    other = "| F | F | C | C | G7 | G7 | C | C |"
    chart = parse_chart(f"{head}[A]\n{bars}\n[B]\n{other}\n[C]\n{bars}\n")
    for depth in (2, 3, 4):
        assert broken(reharmonize(chart, depth)) == []


def test_a_written_five_that_grows_a_seventh_is_no_turnaround() -> None:
    """Where A comes back from N.C. or ends the tune, E as E7b9 would not have led home."""
    first = "|: N.C. | Em C | Am6 | Dm E7 | N.C. Bm7b5 | G7 | A7 | Am6 E :|"
    head = "key: A minor\nmeter: 6/8\ntempo: 138\nform: B A\n"
    text = f"{head}[A]\n{first}\n[B]\n| Am | Am | Am | Am | Dm | Dm | E7 | E7 |\n"
    lead = reharmonize(parse_chart(text), 2)
    assert "turnaround I V7" not in {swap.name for swap in lead.swaps if swap.section == "A"}
    assert broken(lead) == []


def test_nothing_leans_on_a_chord_that_only_slides_in() -> None:
    """Fm once became F7, then B7, because a side-slip had put a Bb7 behind it."""
    bars = "|: Em7 | C7 Em7 | Fm | A7 | Bb7 | F | Fm Dm7 | Em Dm7 :|"
    for tempo in (60, 96, 138):
        lead = reharmonize(parse_chart(f"key: C\ntempo: {tempo}\n[A]\n{bars}\n"), 4)
        assert broken(lead) == []
        third = lead.chart.section("A").lane("swing")[2].slots[0].chord
        assert third is not None
        assert str(third.root) == "F"


BROKE = {
    "IV of one key and I of another": (
        4,
        "key: A minor\ntempo: 60\n[A]\n| A7 Am7 | D7 | G | C |\n",
    ),
    "a section for the last time heard in another key": (
        4,
        """tempo: 60
form: A A
ending: B

[A]
plain | Bm7b5 Am | C6 | F | Em7 N.C. |
melody | A4:4 | E4:4 | D4:4 | C4:4 |
[B]
plain | G7 | B7 | G7 G | Dm |
melody | C#4:4 | Bb4:4 | F#4:4 | A4:4 |
""",
    ),
    "a flat nine in the tune whose dominant no longer falls a fifth": (
        3,
        """key: C
tempo: 96
form: A A A A

[A]
plain | C | C | F | Fm | C | G7 |
melody | F4:4 | C#4:4 | D4:4 | B4:4 | Bb4:4 | F#4:4 |
""",
    ),
    "an ending like a section that goes on": (
        2,
        "key: A minor\ntempo: 60\nform: A B A\nending: C\n"
        "[A]\n| Am | Dm | E7 | Am |\n[B]\n| E7 | A7 | Dm | Am |\n[C]\n| E7 | A7 | Dm | Am |\n",
    ),
    "vi over the first bar of a written V": (
        2,
        """key: A minor
meter: 6/8
tempo: 60
form: B A
ending: B

[A]
plain | D7 Dm | Am7 | E | E Am7 |
melody | D4:6 | Bb4:6 | C4:6 | F4:6 |
[B]
plain | Am7 | Am6 |
melody | Bb4:6 | C#4:6 |
""",
    ),
    "I over half of a written v": (
        3,
        """key: A minor
tempo: 96
form: A A A
ending: C

[A]
|: E7 | E7 | A7 | A7 |
| Dm | Dm | Am | Am :|
[C]
|: Dm | E | G | E7 |
| F{hold} | Dm | Am E | Am6 Am :|
""",
    ),
    "I over the whole of a written V": (
        3,
        """key: A minor
meter: 6/8
tempo: 138
form: B
ending: B

[B]
| Am    | Dm C | Am G | E  |
| B7 Am | E7   | Am6  | Am |
""",
    ),
}
"""Small tunes whose lanes once broke or were doubted: the cause, the depth, the chart."""


@pytest.mark.parametrize(("depth", "text"), BROKE.values(), ids=BROKE)
def test_what_once_broke_holds(depth: int, text: str) -> None:
    lead = reharmonize(parse_chart(text), depth)
    assert broken(lead) == []
    assert review(lead.chart) == ()


@lane_property
@given(charts() | tunes(), st.integers(0, 4))
def test_bars_keep_their_lengths_and_can_be_written(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, depth)
    unit = chart.meter.unit_beats
    back = parse_chart(write_chart(lead.chart))
    assert back.sections == lead.chart.sections
    assert back.form == lead.chart.form
    twins = {last.section: last.base for last in lead.last}
    for new in lead.chart.sections:
        old = chart.section(twins.get(new.name, new.name))
        assert replace(new, swing=old.swing, name=old.name) == old
        assert new.swing is not None
        assert len(new.swing) == len(old.plain)
        for plain, swing in zip(old.plain, new.swing, strict=True):
            assert swing.beats == plain.beats
            assert all(slot.beats > 0 and slot.beats % unit == 0 for slot in swing.slots)
            assert (swing.repeat_start, swing.repeat_times, swing.ending) == (
                (plain.repeat_start, plain.repeat_times, plain.ending)
                if old.swing is None
                else (swing.repeat_start, swing.repeat_times, swing.ending)
            )


@lane_property
@given(charts())
def test_depth_zero_is_the_identity(chart: Chart) -> None:
    lead = reharmonize(chart, 0)
    for old, new in zip(chart.sections, lead.chart.sections, strict=True):
        assert new.swing == (old.plain if old.swing is None else old.swing)
    written = {section.name for section in chart.sections if section.swing is not None}
    assert all(swap.section in written for swap in lead.swaps)  # read out of it, not made


@lane_property
@given(tunes(), st.integers(1, 4))
def test_colour_alone_changes_no_root_and_no_length(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, 1)
    for section in lead.chart.sections:
        for plain, swing in zip(section.plain, section.lane("swing"), strict=True):
            assert [s.beats for s in plain.slots] == [s.beats for s in swing.slots]
            assert [s.chord and s.chord.root for s in plain.slots] == [
                s.chord and s.chord.root for s in swing.slots
            ]
    assert reharmonize(chart, depth) == reharmonize(chart, depth)


def skeleton(chart: Chart, tonic_pc: int) -> list[tuple[int, str, Fraction]]:
    """Return every swing chord as its distance above a tonic, its quality and its length."""
    return [
        ((slot.chord.root.pc - tonic_pc) % 12, slot.chord.quality.suffix, slot.beats)
        if slot.chord
        else (-1, "", slot.beats)
        for section in chart.sections
        for bar in section.lane("swing")
        for slot in bar.slots
    ]


def in_other_keys(chart: Chart, depth: int, semitones: Iterable[int]) -> None:
    own = skeleton(reharmonize(chart, depth).chart, chart.key.tonic.pc)
    for up in semitones:
        key = replace(chart.key, tonic=chart.key.spell(chart.key.tonic.pc + up)).simple
        moved = reharmonize(transpose(chart, key), depth)
        assert skeleton(moved.chart, key.tonic.pc) == own, key


@lane_property
@given(tunes(), st.integers(1, 4), st.integers(1, 11))
def test_any_other_key_gives_the_same_functions(chart: Chart, depth: int, up: int) -> None:
    in_other_keys(chart, depth, (up,))


def test_spelling_decides_nothing() -> None:
    """In E the raised tonic is written F, in C it is C sharp: once that chose another lane."""
    bars = "| C | G7 | C | C | C | G7 | C | C |"
    chart = parse_chart(f"key: C\ntempo: 60\nmeter: 2/4\n[A]\n{bars}\n")
    in_other_keys(chart, 4, range(12))


@pytest.mark.parametrize("depth", range(5))
def test_the_same_chart_gives_the_same_lane(depth: int) -> None:
    chart = parse_chart("key: C\n[A]\n| C Am | Dm G7 | E7 | A7 | Dm | G7 | C | C |\n")
    assert reharmonize(chart, depth) == reharmonize(chart, depth)


def leads_of_the_forms(depth: int) -> list[Lead]:
    return [reharmonize(parse_chart(text), depth) for text in FORM_TYPES.values()]


@pytest.mark.parametrize("depth", range(1, 5))
def test_every_swap_holds_in_the_form_types(depth: int) -> None:
    assert [text for lead in leads_of_the_forms(depth) for text in broken(lead)] == []


def needs_nothing(*_: object, **__: object) -> tuple[Need, ...]:
    return ()


def is_always_met(self: Need, chord: Chord | None) -> bool:
    return True


@pytest.mark.parametrize(
    ("where", "name", "mutant"),
    [
        (steps.Need, "met", is_always_met),
        (formulas, "_need", needs_nothing),
        (substitutions, "root_need", needs_nothing),
        (passing, "root_need", needs_nothing),
        (turnarounds, "needs", needs_nothing),
        (functions, "root_need", needs_nothing),
    ],
    ids=["met", "formulas", "substitutions", "passing", "turnarounds", "functions"],
)
def test_a_precondition_taken_away_is_seen(
    monkeypatch: pytest.MonkeyPatch, where: object, name: str, mutant: object
) -> None:
    """Without what a row needs of its neighbours the lanes break, and the rules above tell."""
    monkeypatch.setattr(where, name, mutant)
    own = [row for row in SWAPS if row.offers.__module__ == getattr(where, "__name__", "")]
    slow = "key: C\ntempo: 80\n[A]\n| C | A7 | Dm | G7 | C | E7 | A7 | D7 | G7 | C |\n"
    assert any(
        broken(reharmonize(parse_chart(text), depth, use=[row.name, "tritone substitution"]))
        for depth in (4, 3)
        for row in own or rows_for(depth)[::3]
        if not row.colour
        for text in (slow, *FORM_TYPES.values())
    )


@lane_property
@given(charts(), st.sampled_from((None, 0, 2, 4)))
def test_the_lane_to_play_is_the_lane_with_names(chart: Chart, depth: int | None) -> None:
    lead = reharmonize(chart, depth)
    assert swing_lane(chart, depth) == lead.chart
    # a lane written by hand stays, whoever wants the names of its swaps
    assert swing_lane(lead.chart, depth) == reharmonize(lead.chart, depth).chart
