"""From a tune's lead, grips and plan to the words and pictures of its handout."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from porchswing.chart.model import Bar, Chart, Section, SwingSetting
from porchswing.chart.sung_text import sung_cells
from porchswing.chart.unroll import (
    LAST_TIME,
    form_of,
    is_last_time,
    section_title,
    used_sections,
)
from porchswing.grips.drawings.contour import ContourNote, contour_parts
from porchswing.grips.drawings.diagram import grip_svg, svg_element
from porchswing.grips.drawings.lines import best_line
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.shapes.spelling import spell_pc
from porchswing.grips.vocabulary.heard_sequences import heard_sequences
from porchswing.grips.vocabulary.slides import marks_said
from porchswing.grips.vocabulary.tune_shapes import TuneShape, tune_shapes
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.lesson.learned import NOTHING_MET, Met
from porchswing.lesson.practice_plan import CARE, PlanStep, plan_minutes
from porchswing.pages.handout.sheet import (
    BARS_A_ROW,
    Sheet,
    SheetBar,
    SheetChange,
    SheetChord,
    SheetRow,
    SheetSection,
    SheetShape,
    SheetStep,
    SheetStrum,
)
from porchswing.pages.handout.strum_drawing import strum_svg, strum_words
from porchswing.pages.symbols import SymbolParts, symbol_parts, symbol_text
from porchswing.rhythm.strum import load_strum
from porchswing.theory.notes import with_signs

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
"""Where a bar of a pattern stands, in a student's words."""

LINE_WIDTH, LINE_HEIGHT = 560.0, 46.0
"""A row's line in drawing units: as wide as the sheet."""


@dataclass(frozen=True, slots=True)
class HandoutWay:
    """One of several ways through the same bars: its ``name`` and the grips of its lane."""

    name: str
    voicing: Voicing


@dataclass(frozen=True, slots=True)
class HandoutSource:
    """What a handout is made from.

    ``strum`` names the strum pattern that is played, ``tempo_bpm`` counts the felt beat and
    ``line_strings`` says by section whose line is drawn. ``met`` is what the tunes before it
    in a course brought: it is marked as known. ``known`` are sections shown small, what the
    lesson is not about. ``ways`` are several ways through the bars, for a room of mixed levels,
    the easiest first.
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
    ways: tuple[HandoutWay, ...] = ()


def handout_sheet(source: HandoutSource) -> Sheet:
    """Return the handout of a tune, ready to be set."""
    chart = source.lead.chart
    sections = used_sections(chart)
    about = [section for section in sections if section.name not in source.known]
    shapes = _shapes(source)
    return Sheet(
        title=chart.title,
        by=chart.by,
        facts=_facts(chart, source),
        sections=tuple(_section(source, section) for section in sections),
        shapes=tuple(_shape(shape) for shape in shapes),
        shapes_note=_shapes_note(chart, source.voicing, shapes),
        line_note=_line_note(chart, source.voicing, about),
        strum=_strum(source.strum, source.met),
        changes=_changes(source),
        steps=tuple(
            SheetStep(f"{step.minutes}′" if step.minutes else "", with_signs(step.words))
            for step in source.steps
        ),
        plan_note=f"{plan_minutes(source.steps)} minutes with rests",
        care=CARE,
        tablature=source.tablature,
        ways=tuple(way.name for way in source.ways),
    )


def _named(chart: Chart, section: str) -> str:
    """Return a section's name in brackets, as it stands all over the sheet."""
    return f"[{section_title(chart, section)}]"


def _facts(chart: Chart, source: HandoutSource) -> tuple[str, ...]:
    beat = "dotted quarter" if chart.meter.is_compound else "quarter"
    mode = "minor" if chart.key.mode == "minor" else "major"
    swing = "straight" if source.swing_ratio == 1 else f"swing {source.swing_ratio:.1f} : 1"
    if chart.settings.swing == SwingSetting():
        swing += " (by tempo)"
    form = " ".join(
        name.removesuffix(LAST_TIME) if is_last_time(chart, name) else name
        for name in form_of(chart)
    )
    return (
        f"{with_signs(str(chart.key.tonic))} {mode}, {chart.meter}, form {form}",
        f"{beat} = {source.tempo_bpm:g}, {swing}",
        f"{source.voicing.tuning.instrument}, {with_signs(source.voicing.tuning.name)}; "
        "frets from string "
        f"{source.voicing.tuning.strings} to string 1, the one nearest the floor",
    )


def _section(source: HandoutSource, section: Section) -> SheetSection:
    chart = source.lead.chart
    bars, voiced = _bars(source, section), _section_slots(source.voicing, section)
    firsts = range(0, len(bars), BARS_A_ROW)
    note = f"{len(bars)} bar{'' if len(bars) == 1 else 's'}"
    if is_last_time(chart, section.name):
        base = _bars(source, chart.section(section.name.removesuffix(LAST_TIME)))
        kept = [first for first in firsts if not _are_alike(bars, base, first)] or [0]
        if len(kept) < len(firsts):
            note = f"{_rows_said(kept, len(bars))}; the others are as before"
            bars = _bars(source, section, [n for n in kept if n - BARS_A_ROW not in kept])
        firsts_shown: Sequence[int] = kept
    else:
        firsts_shown = firsts
    lines = _lines(source, section, voiced)
    rows = [
        SheetRow(tuple(bars[first : first + BARS_A_ROW]), lines[first // BARS_A_ROW])
        for first in firsts_shown
    ]
    if section.name in source.met.sections:
        note += ", from a lesson before"
    if section.name in source.known:
        return SheetSection(_named(chart, section.name), f"{note}: you know it", _small(rows), True)
    words = f"{note}: small, what you know; bold, what we play"
    if source.ways:
        words = f"{note}, {len(source.ways)} ways that sound well at the same time: take yours"
    return SheetSection(_named(chart, section.name), words, tuple(rows))


def _small(rows: Sequence[SheetRow]) -> tuple[SheetRow, ...]:
    """Return rows of what is known: chords and frets, no drawings, no plain lane, no line."""

    def without(bar: SheetBar) -> SheetBar:
        chords = tuple(replace(chord, svg="") for chord in bar.swing)
        return SheetBar((), chords, verses=bar.verses)

    return tuple(SheetRow(tuple(without(bar) for bar in row.bars)) for row in rows)


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


def _section_slots(voicing: Voicing, section: Section) -> list[list[VoicedSlot]]:
    """Return the voiced slots of a section, bar by bar."""
    return [_voiced(voicing, section.name, bar) for bar in range(1, len(section.plain) + 1)]


def _bars(source: HandoutSource, section: Section, afresh: Sequence[int] = ()) -> list[SheetBar]:
    """Return a section's bars; grips are drawn where they change, and ``afresh`` at some bars."""
    bars = []
    previous: Grip | None = None
    lanes = zip(section.plain, section.lane("swing"), strict=True)
    voiced = _section_slots(source.voicing, section)
    for index, ((plain, swing), here) in enumerate(zip(lanes, voiced, strict=True)):
        previous = None if index in afresh else previous
        chords = []
        for slot, found in zip(swing.slots, here, strict=True):
            is_new = found.grip is not None and found.grip != previous
            chords.append(_chord(found, float(slot.beats), is_new=is_new))
            previous = found.grip
        played = "; ".join(filter(None, map(marks_said, here)))
        swaps = _mark(source.lead, section, index + 1)
        mark = ", ".join(filter(None, (_repeats(plain), swaps, played)))
        verses = tuple(sung_cells(verse[index], plain.beats) for verse in section.words)
        bars.append(SheetBar(_plain(plain), tuple(chords), mark, verses=verses))
    ways = [_way_bars(way, section) for way in source.ways]
    if not ways:
        return bars
    return [
        replace(bar, ways=each) for bar, each in zip(bars, zip(*ways, strict=True), strict=True)
    ]


def _way_bars(way: HandoutWay, section: Section) -> list[tuple[SheetChord, ...]]:
    """Return the chords of a way bar by bar, each grip drawn where it changes."""
    found = []
    previous: Grip | None = None
    voiced = _section_slots(way.voicing, section)
    for bar, here in zip(section.lane(way.voicing.lane), voiced, strict=True):
        chords = []
        for slot, each in zip(bar.slots, here, strict=True):
            is_new = each.grip is not None and each.grip != previous
            chords.append(_chord(each, float(slot.beats), is_new=is_new))
            previous = each.grip
        found.append(tuple(chords))
    return found


def _are_alike(bars: Sequence[SheetBar], others: Sequence[SheetBar], first: int) -> bool:
    """Whether the row that begins with a bar is played alike, whatever its marks say."""
    rows = (
        [replace(bar, mark="") for bar in each[first : first + BARS_A_ROW]]
        for each in (bars, others)
    )
    return next(rows) == next(rows)


def _rows_said(firsts: Sequence[int], bars: int) -> str:
    """Return which bars some rows hold, such as ``bars 5 to 8``."""
    rows = [(first + 1, min(bars, first + BARS_A_ROW)) for first in firsts]
    return "bars " + " and ".join(f"{one} to {last}" for one, last in rows)


def _lines(
    source: HandoutSource, section: Section, voiced: Sequence[Sequence[VoicedSlot]]
) -> list[str]:
    """Return the line of the section's string row by row, as the practice page draws it."""
    string = source.line_strings.get(section.name)
    rows: list[list[ContourNote]] = [[] for _ in range(0, len(voiced), BARS_A_ROW)]
    if string is None:
        return [""] * len(rows)
    index = source.voicing.tuning.index(string)
    is_joined = False
    for number, slots in enumerate(voiced):
        row, column = divmod(number, BARS_A_ROW)
        at = Fraction(0)
        beats = [slot.beats for slot in section.lane("swing")[number].slots]
        for slot, length in zip(slots, beats, strict=True):
            fret = slot.grip.frets[index] if slot.grip else None
            pitch = slot.grip.midi[index] if slot.grip else None
            share = (column + float((at + length / 2) / sum(beats))) / BARS_A_ROW
            at += length
            if fret is None or pitch is None:
                is_joined = False
                continue
            name = with_signs(str(spell_pc(pitch % 12, slot.chord, source.lead.chart.key)))
            joins = is_joined and bool(rows[row])
            rows[row].append(ContourNote(share * LINE_WIDTH, pitch, fret, name, joins))
            is_joined = True
    pitches = [note.midi for row in rows for note in row]
    low, high = min(pitches, default=0), max(pitches, default=0)
    return [_line_svg(row, low, high) if row else "" for row in rows]


def _line_svg(notes: Sequence[ContourNote], low: int, high: int) -> str:
    parts = contour_parts(notes, 0.0, LINE_HEIGHT, low, high)
    return svg_element(LINE_WIDTH, LINE_HEIGHT, parts, "the line of one string")


def _voiced(voicing: Voicing, section: str, bar: int) -> list[VoicedSlot]:
    own = [slot for slot in voicing.slots if (slot.section, slot.bar) == (section, bar)]
    first = min((slot.pass_number for slot in own), default=0)
    return [slot for slot in own if slot.pass_number == first]


def _plain(bar: Bar) -> tuple[SheetChord, ...]:
    if bar.is_percent:
        return (SheetChord(SymbolParts("%")),)
    return tuple(SheetChord(symbol_parts(slot.chord), float(slot.beats)) for slot in bar.slots)


def _chord(found: VoicedSlot, beats: float, *, is_new: bool) -> SheetChord:
    svg = grip_svg(found.grip) if found.grip and is_new else ""
    frets = str(found.grip or "") if is_new else ""
    return SheetChord(symbol_parts(found.chord), beats, svg, frets)


def _repeats(bar: Bar) -> str:
    """Return in words what the bar lines of a repeat say, since the sheet draws none."""
    words = []
    if bar.ending is not None:
        words.append(f"ending {bar.ending}")
    if bar.repeat_start:
        words.append("repeat from here")
    if bar.repeat_times:
        words.append(f"back to the repeat, {bar.repeat_times} times in all")
    return ", ".join(words)


def _mark(lead: Lead, section: Section, bar: int) -> str:
    names = [s.name for s in lead.swaps if (s.section, s.bar) == (section.name, bar)]
    return ", ".join(dict.fromkeys(names))


def _shape(shape: TuneShape) -> SheetShape:
    uses: dict[str, None] = {}
    for use in shape.uses:
        fret = f" {use.fret}" if shape.shape.is_movable else ""
        uses.setdefault(f"{symbol_text(use.chord)}{fret}")
    words = list(uses)
    more = f"and {len(words) - MOST_USES} more" if len(words) > MOST_USES else ""
    shown = tuple(filter(None, (*words[:MOST_USES], more)))
    drawn = grip_svg(shape.uses[0].grip)
    return SheetShape(drawn, with_signs(shape.name), shown, shape.is_known)


def _shapes_note(chart: Chart, voicing: Voicing, shapes: Sequence[TuneShape]) -> str:
    note = f"{len(shapes)} in all; the number after a chord is the fret of the lowest finger"
    known = sum(shape.is_known for shape in shapes)
    if voicing.hand.known or known:
        note += f"; {known} you know"
    kept = [each for each in heard_sequences(voicing) if each.frets is not None]
    heard = [f"{_named(chart, each.section)} {each}" for each in kept[:MOST_SEQUENCES]]
    return with_signs(". Heard again: ".join([note, "; ".join(heard)]) if heard else note)


def _line_note(chart: Chart, voicing: Voicing, sections: Sequence[Section]) -> str:
    """Return the best line of every section in a teacher's words."""
    found = [(section.name, best_line(voicing, section.name)) for section in sections]
    return "; ".join(
        f"{_named(chart, name)} {with_signs(str(line))}" for name, line in found if line
    )


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
    first = swaps[0]
    chords = f"{' '.join(first.before)} → {' '.join(first.after)}"
    places = [f"{_named(chart, swap.section)} bar {swap.bar}" for swap in swaps]
    named = ", ".join(dict.fromkeys(places[:MOST_PLACES]))
    more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
    return f"{with_signs(chords)}, {named}{more}"
