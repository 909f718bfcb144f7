"""From a tune's lead, grips and plan to the words and pictures of its handout."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from porchswing.chart.model import Chart, Section, SwingSetting
from porchswing.chart.unroll import (
    base_name,
    form_of,
    is_last_time,
    section_title,
    used_sections,
)
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.drawings.lines import best_line, line_runs
from porchswing.grips.search.sequences import heard_sequences
from porchswing.grips.shapes.model import Voicing
from porchswing.grips.vocabulary.tune_shapes import TuneShape, tune_shapes
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.lesson.learned import NOTHING_MET, Met
from porchswing.lesson.practice_plan import CARE, PlanStep, plan_minutes
from porchswing.pages.handout.section_rows import row_lines, section_bars, sheet_rows, stretches
from porchswing.pages.handout.sheet import (
    BARS_A_ROW,
    Sheet,
    SheetBar,
    SheetChange,
    SheetSection,
    SheetShape,
    SheetStrum,
)
from porchswing.pages.handout.strum_drawing import strum_svg, strum_words
from porchswing.pages.symbols import symbol_text
from porchswing.rhythm.strum import load_strum
from porchswing.theory.notes import with_signs
from porchswing.units import counted

MOST_CHANGES = 8
"""Swaps explained on the sheet, the most telling first in order of appearance."""

MOST_PLACES = 3

MOST_SEQUENCES = 2
"""Progressions heard again that the sheet points out."""

MOST_USES = 6
"""Chords named under one shape."""

BAR_WORDS = {
    "groove": "most bars",
    "any": "now and then",
    "every 4": "every fourth bar",
    "every 8": "every eighth bar",
    "section end": "last bar of a section",
    "ending": "the very last bar",
}
"""The place of a bar of a pattern, in a student's words."""


@dataclass(frozen=True, slots=True)
class HandoutSource:
    """What a handout is made from.

    ``strum`` names the strum pattern that is played, ``tempo_bpm`` counts the felt beat and
    ``line_strings`` says by section whose line is drawn. ``met`` is what the tunes before it
    in a course brought: it is marked as known. ``known`` are sections shown small, what the
    lesson is not about. ``ways`` are the grips of several ways through the bars by their names,
    for a room of mixed levels, the easiest first.
    """

    lead: Lead
    voicing: Voicing
    steps: Sequence[PlanStep]
    tempo_bpm: float
    swing_ratio: float
    strum: str
    line_strings: Mapping[str, int] = field(default_factory=dict)
    tablature: str = ""
    met: Met = NOTHING_MET
    known: frozenset[str] = frozenset()
    ways: Mapping[str, Voicing] = field(default_factory=dict)


def handout_sheet(source: HandoutSource) -> Sheet:
    """Return the handout of a tune, ready to be set."""
    chart = source.lead.chart
    sections = used_sections(chart)
    shapes = _grouped(_shapes(source))
    return Sheet(
        title=chart.title,
        by=chart.by,
        facts=_facts(chart, source),
        sections=tuple(_sheet_section(source, section) for section in sections),
        shapes=tuple(shapes),
        shapes_note=_shapes_note(chart, source.voicing, shapes),
        line_note=_line_note(source),
        strum=_strum(source.strum, source.met),
        changes=_changes(source),
        steps=tuple(
            (f"{step.minutes}′" if step.minutes else "", with_signs(step.words))
            for step in source.steps
        ),
        plan_note=f"{plan_minutes(source.steps)} minutes with rests",
        care=CARE,
        tablature=source.tablature,
        ways=tuple(source.ways),
    )


def _facts(chart: Chart, source: HandoutSource) -> tuple[str, ...]:
    beat = "dotted quarter" if chart.meter.is_compound else "quarter"
    swing = "straight" if source.swing_ratio == 1 else f"swing {source.swing_ratio:.1f} : 1"
    if chart.settings.swing == SwingSetting():
        swing += " (by tempo)"
    form = " ".join(base_name(chart, name) for name in form_of(chart))
    return (
        f"{with_signs(str(chart.key.tonic))} {chart.key.mode}, {chart.meter}, form {form}",
        f"{beat} = {source.tempo_bpm:g}, {swing}",
        f"{source.voicing.tuning.instrument}, {with_signs(source.voicing.tuning.name)}; "
        "frets from string "
        f"{source.voicing.tuning.strings} to string 1, the one nearest the floor",
    )


def _sheet_section(source: HandoutSource, section: Section) -> SheetSection:
    """Return a section as the sheet shows it: small where it is known."""
    chart = source.lead.chart
    bars, name = _bars(source, section), _named(chart, section.name)
    firsts: Sequence[int] = range(0, len(bars), BARS_A_ROW)
    note = counted(len(bars), "bar")
    if is_last_time(chart, section.name):
        base = _bars(source, chart.section(base_name(chart, section.name)))
        kept = [first for first in firsts if _played(bars, first) != _played(base, first)] or [0]
        if len(kept) < len(firsts):
            note = f"{_rows_said(kept, len(bars))}; the others are as before"
            bars = _bars(source, section, [n for n in kept if n - BARS_A_ROW not in kept])
        firsts = kept
    if section.name in source.met.sections:
        note += ", from a lesson before"
    if section.name in source.known:
        small = [  # chords and frets, no drawings, no plain lane
            SheetBar((), tuple(replace(c, svg="") for c in bar.swing), verses=bar.verses)
            for bar in bars
        ]
        return SheetSection(
            name, f"{note}: you know it", sheet_rows(small, stretches(small, firsts)), True
        )
    rows, string = stretches(bars, firsts), source.line_strings.get(section.name)
    lines: list[str] = []
    if string is not None:
        lines = row_lines(source.voicing, section.name, chart.key, string, bars, rows)
    ways = f", {len(source.ways)} ways that sound well at the same time: take yours"
    note += ways if source.ways else ": small, what you know; bold, what we play"
    note += f"; the line below is string {string}" if any(lines) else ""
    return SheetSection(name, note, sheet_rows(bars, rows, lines))


def _bars(source: HandoutSource, section: Section, afresh: Sequence[int] = ()) -> list[SheetBar]:
    return section_bars(source.lead, source.voicing, section, tuple(source.ways.values()), afresh)


def _played(bars: Sequence[SheetBar], first: int) -> list[SheetBar]:
    """Return what is played in the row that begins with a bar, whatever its marks say."""
    return [replace(bar, mark="") for bar in bars[first : first + BARS_A_ROW]]


def _rows_said(firsts: Sequence[int], bars: int) -> str:
    """Return which bars some rows hold, such as ``bars 5 to 8``."""
    rows = [(first + 1, min(bars, first + BARS_A_ROW)) for first in firsts]
    return "bars " + " and ".join(f"{one} to {last}" for one, last in rows)


def _named(chart: Chart, section: str) -> str:
    """Return a section's name in brackets, as it is all over the sheet."""
    return f"[{section_title(chart, section)}]"


def _shapes(source: HandoutSource) -> tuple[TuneShape, ...]:
    """Return the shapes of what the handout is about; those of the rest are known."""

    def shapes_in(names: Collection[str]) -> tuple[TuneShape, ...]:
        slots = tuple(slot for slot in source.voicing.slots if slot.section in names)
        return tune_shapes(replace(source.voicing, slots=slots))

    rest = {each.shape for each in shapes_in(source.known)}
    return tuple(
        replace(each, is_known=each.is_known or each.shape in rest)
        for each in shapes_in(_about(source))
    )


def _about(source: HandoutSource) -> list[str]:
    """Return the names of the sections that are played and not known."""
    played = [section.name for section in used_sections(source.lead.chart)]
    return [name for name in played if name not in source.known]


def _grouped(shapes: Sequence[TuneShape]) -> list[SheetShape]:
    """Return each diagram once, most used first, whichever fingers hold it."""
    by_frets: dict[tuple[object, ...], list[TuneShape]] = {}
    for shape in shapes:
        by_frets.setdefault((shape.shape.frets, shape.shape.is_movable), []).append(shape)
    groups = sorted(by_frets.values(), key=lambda group: -sum(len(each.uses) for each in group))
    return [_shape(group) for group in groups]


def _shape(group: Sequence[TuneShape]) -> SheetShape:
    """Return the drawing of a shape, as its most used fingers hold it, and all its uses."""
    first, *others = group
    named = list(
        dict.fromkeys(
            f"{symbol_text(use.chord)} {use.fret if first.shape.is_movable else ''}".rstrip()
            for shape in group
            for use in shape.uses
        )
    )
    more = f"and {len(named) - MOST_USES} more" if len(named) > MOST_USES else ""
    return SheetShape(
        grip_svg(first.uses[0].grip),
        with_signs(first.name),
        tuple(filter(None, (*named[:MOST_USES], more))),
        is_known=all(each.is_known for each in group),
        fingers=tuple(_fingers_said(each) for each in others),
    )


def _fingers_said(shape: TuneShape) -> str:
    """Return the fingers of a shape as its drawing orders them."""
    fingers = shape.shape.fingers
    is_mirrored = shape.uses[0].grip.tuning.is_left_handed
    return " ".join(str(each) for each in (reversed(fingers) if is_mirrored else fingers))


def _shapes_note(chart: Chart, voicing: Voicing, shapes: Sequence[SheetShape]) -> str:
    note = f"{len(shapes)} in all; the number after a chord is the fret of the lowest finger"
    known = sum(shape.is_known for shape in shapes)
    if voicing.hand.known or known:
        note += f"; {known} you know"
    kept = [each for each in heard_sequences(voicing) if each.frets is not None]
    heard = [f"{_named(chart, each.section)} {each}" for each in kept[:MOST_SEQUENCES]]
    return with_signs(". Heard again: ".join([note, "; ".join(heard)]) if heard else note)


def _line_note(source: HandoutSource) -> str:
    """Return the line of every section in a teacher's words: of the string drawn, if it has one."""
    found = []
    for name in _about(source):
        drawn = source.line_strings.get(name)
        own = (run for run in line_runs(source.voicing, name) if run.string == drawn)
        line = next(own, None) or best_line(source.voicing, name)
        if line is not None:
            found.append(f"{_named(source.lead.chart, name)} {with_signs(str(line))}")
    return "; ".join(found)


def _strum(name: str, met: Met) -> SheetStrum:
    pattern = load_strum(name)
    shown = [bar for place in BAR_WORDS for bar in pattern.placed(place)]
    bars = tuple((BAR_WORDS[bar.place], strum_svg(bar, pattern.meter)) for bar in shown)
    known = " You know this strum." if name in met.strums else ""
    return SheetStrum(name, bars, f"{pattern.when}{known} How to read it: {strum_words(shown)}")


def _changes(source: HandoutSource) -> tuple[SheetChange, ...]:
    """Return the swaps of what the handout is about; those met before are marked as known."""
    lead, by_name, about = source.lead, dict[str, list[Swap]](), _about(source)
    known = {swap.name for swap in lead.swaps if swap.section in source.known} | source.met.swaps
    for swap in lead.swaps:
        if swap.section in about:
            by_name.setdefault(swap.name, []).append(swap)
    return tuple(
        SheetChange(
            with_signs(name) + (" (you know it)" if name in known else ""),
            _places(lead.chart, found),
            with_signs(f"{found[0].reason}"),
        )
        for name, found in list(by_name.items())[:MOST_CHANGES]
    )


def _places(chart: Chart, swaps: Sequence[Swap]) -> str:
    """Return what a swap changes, and where: ``C7 → C9, [A] bars 4, 8, [B] bar 7, and 3 more``."""
    first = swaps[0]
    places = dict.fromkeys((swap.section, swap.bar) for swap in swaps)
    by_section: dict[str, list[str]] = {}
    for section, bar in list(places)[:MOST_PLACES]:
        by_section.setdefault(section, []).append(str(bar))
    change = with_signs(f"{' '.join(first.before)} → {' '.join(first.after)}")
    where = (
        f"{_named(chart, section)} bar{'s' if len(bars) > 1 else ''} {', '.join(bars)}"
        for section, bars in by_section.items()
    )
    more = f"and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
    return ", ".join(filter(None, (change, *where, more)))
