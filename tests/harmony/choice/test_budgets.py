"""Budgets over charts of the trade's form types: repeats, ninths, minor chords, what survives.

The bounds are those a style states; what a style is, is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import ceil

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import STYLES as STYLE_NAMES, Section
from porchswing.errors import ChartError
from porchswing.harmony.choice.budgets import Budget, over_budget
from porchswing.harmony.choice.cells import Cell
from porchswing.harmony.choice.fit_sections import find_stretches
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.styles import STYLES, style_of
from porchswing.harmony.passage.flow import flow_of, passage
from porchswing.harmony.swaps.catalogue import find_swap, group_of, rows_for
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord
from support.form_types import FORM_TYPES
from support.lanes import lane_text

FAR = (3, 4)
PHRASE_BARS = 8


@cache
def lead_of(form: str, depth: int) -> Lead:
    return reharmonize(parse_chart(FORM_TYPES[form]), depth)


def sections(lead: Lead) -> list[Section]:
    """Return the sections that are played more than the last time."""
    return [s for s in lead.chart.sections if s.name not in {last.section for last in lead.last}]


def families(lead: Lead) -> list[tuple[str, str]]:
    """Return family and suffix of every chord, one a change."""
    return [
        (slot.chord.quality.family, slot.chord.quality.suffix)
        for section in sections(lead)
        for bar in section.lane("swing")
        for slot in bar.slots
        if slot.chord
    ]


@pytest.mark.parametrize("form", FORM_TYPES)
@pytest.mark.parametrize("depth", FAR)
def test_no_swap_comes_more_than_twice_in_eight_bars(form: str, depth: int) -> None:
    lead = lead_of(form, depth)
    for section in sections(lead):
        places: dict[str, list[int]] = {}
        for swap in lead.swaps:
            if swap.section == section.name and not find_swap(swap.name).colour:
                places.setdefault(swap.name, []).append(swap.bar)
        for name, bars in places.items():
            for third, first in zip(bars[2:], bars, strict=False):
                assert third - first >= PHRASE_BARS, (name, bars)


@pytest.mark.parametrize("form", FORM_TYPES)
@pytest.mark.parametrize("depth", FAR)
def test_plain_ninths_are_at_most_sixty_per_cent_of_the_dominants(form: str, depth: int) -> None:
    dominants = [
        suffix for family, suffix in families(lead_of(form, depth)) if family == "dominant"
    ]
    assert dominants.count("9") <= max(0.6 * len(dominants), 1)


@pytest.mark.parametrize("form", FORM_TYPES)
@pytest.mark.parametrize("depth", FAR)
def test_two_thirds_of_the_minor_chords_stay(form: str, depth: int) -> None:
    def minors(at: int) -> int:
        return [family for family, _ in families(lead_of(form, at))].count("minor")

    assert minors(depth) >= 2 / 3 * minors(2) - 1e-9


def test_the_farthest_depth_is_another_lane() -> None:
    same = [
        form
        for form in FORM_TYPES
        if [lane_text(lead_of(form, 3), s.name) for s in sections(lead_of(form, 3))]
        == [lane_text(lead_of(form, 4), s.name) for s in sections(lead_of(form, 4))]
    ]
    assert len(same) <= 2, same


def test_what_a_style_keeps() -> None:
    blues = lane_text(lead_of("blues", 4), "Blues").split(" | ")
    assert blues[1].startswith("Bb"), "the quick change"
    assert blues[0].startswith("F")
    ballad = [family for family, _ in families(lead_of("ballad", 2))]
    assert ballad.count("minor") >= 7, "as many minor chords as were written"


def test_a_chart_and_a_section_say_their_style() -> None:
    text = "key: C\nstyle: {}\n[A]\n| C | Am | Dm | G7 |\n[B]\nstyle: ballad\n| C | F | G7 | C |\n"
    for name in STYLE_NAMES:
        chart = parse_chart(text.format(name))
        assert style_of(chart, chart.section("A")).name == name
        assert style_of(chart, chart.section("B")).name == "ballad"
    assert set(STYLE_NAMES) == set(STYLES)
    with pytest.raises(ChartError, match="unknown style"):
        parse_chart(text.format("balad"))


@pytest.mark.parametrize(
    ("form", "style"),
    [
        ("rhythm", "medium swing"),
        ("circle of dominants", "hot swing"),
        ("blues", "blues"),
        ("minor blues", "minor swing"),
        ("ballad", "ballad"),
        ("waltz", "waltz"),
        ("bossa", "bossa"),
        ("island vamp", "island vamp"),
    ],
)
def test_a_style_is_chosen_by_strum_meter_chords_and_tempo(form: str, style: str) -> None:
    chart = parse_chart(FORM_TYPES[form])
    assert style_of(chart, chart.sections[0]).name == style


def chords(section: Section) -> list[Chord]:
    """Return the chords of a section's swing lane, one a change."""
    slots = [slot for bar in section.lane("swing") for slot in bar.slots]
    return [slot.chord for slot in slots if slot.chord]


@pytest.mark.parametrize("form", FORM_TYPES)
@pytest.mark.parametrize("depth", FAR)
def test_what_hangs_over_the_dominant_falls_into_it(form: str, depth: int) -> None:
    """A sus, or I on the bass of V, goes on to V or the diminished chord on its third."""
    for section in sections(lead_of(form, depth)):
        for hung, after in pairwise(chords(section)):
            away = (after.root.pc - hung.bass_note.pc) % 12
            if hung.quality.family == "suspended":
                assert away in (0, 4), (hung.symbol, after.symbol)
            if hung.bass is not None and after.quality.family == "dominant":
                assert away != 6, (hung.symbol, after.symbol)


@pytest.mark.parametrize("form", FORM_TYPES)
def test_what_slides_in_leads_to_a_chord_of_the_tune(form: str) -> None:
    lead = lead_of(form, 4)
    plain = {
        (section.name, number): bar.slots[0].chord
        for section in lead.chart.sections
        for number, bar in enumerate(section.plain, 1)
    }
    for swap in lead.swaps:
        if swap.name == "side-slip":
            slid, goal = parse_chord(swap.after[-1]), plain.get((swap.section, swap.bar + 1))
            assert goal is None or (slid.root.pc - goal.root.pc) % 12 == 1, swap
            assert form != "ballad", "no hand slides through a ballad"


def test_one_line_cliche_is_over_before_the_next_begins() -> None:
    """Bm BmMaj7 Bm7 Bm6 into Em EmMaj7 Em7 Em6 is one line too many."""
    for form in FORM_TYPES:
        for depth in FAR:
            lead = lead_of(form, depth)
            bars = [swap.bar for swap in lead.swaps if swap.name == "minor line cliché"]
            assert all(b - a != 2 for a, b in pairwise(bars)), (form, depth, bars)


def test_an_island_vamp_has_no_tritone_substitutes() -> None:
    for depth in FAR:
        names = {swap.name for swap in lead_of("island vamp", depth).swaps}
        assert not [name for name in names if group_of(name) == "tritone"], names


def test_a_circle_of_dominants_goes_further_at_the_farthest_depth() -> None:
    bars = lane_text(lead_of("circle of dominants", 4), "A").split(" | ")
    assert bars[2:4] == ["Bbm7", "Eb13"], "a ii–V from a tritone away into II7"


def test_what_came_twice_within_eight_bars_may_not_come_again() -> None:
    """Bars 1 and 5, then 9, eight bars after the first; 10 and 12 are third within eight."""
    chart = parse_chart("key: C\n[A]\n" + "| G7 | C |\n" * 6)
    part = passage(chart, ("A",), range(12), flow_of(chart))
    lane = [
        Cell(place, place + 1, (part.steps[place],), ("related ii",), 1.0, -1, -1, 0)
        for place in (0, 4, 8, 9, 11)
    ]
    found = over_budget(part, Budget(3, STYLES["medium swing"], 0), lane)
    assert found == [("related ii", 9), ("related ii", 11)]


def test_the_minor_chords_of_a_blues_are_measured_on_its_lane_of_depth_2() -> None:
    chart = parse_chart(FORM_TYPES["blues"])
    (part,) = find_stretches(chart, flow_of(chart), lambda _: (3, rows_for(3)), ())
    blues = reharmonize(chart, 2).chart.section("Blues")
    usual = [chord.quality.family for chord in chords(blues)].count("minor")
    assert part.budget.minors == ceil(part.budget.style.minors * usual)
