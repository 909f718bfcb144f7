"""From a tune's lead, grips and plan to the words and pictures of its handout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from porchswing.chart.model import Bar, Chart, Section, SwingSetting
from porchswing.chart.unroll import form_of
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.drawings.lines import best_line
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.lesson.practice_plan import CARE, PlanStep, plan_minutes
from porchswing.pages.handout.sheet import (
    Sheet,
    SheetBar,
    SheetChange,
    SheetChord,
    SheetLine,
    SheetSection,
    SheetStep,
    SheetStrum,
)
from porchswing.rhythm.patterns import counted_text, load_pattern_data
from porchswing.theory.notes import with_signs

MOST_DIAGRAMS = 44
"""Diagrams that fit under their chords on one page; a longer tune gets a legend of its grips."""

MOST_ROWS = 9
"""Rows of four bars with diagrams that leave room for the rest on two pages."""

MOST_CHANGES = 8
"""Swaps explained on the sheet, the most telling first in order of appearance."""

MOST_PLACES = 3

BAR_WORDS = {
    "groove": "most bars",
    "any": "now and then",
    "every 4": "every fourth bar",
    "every 8": "every eighth bar",
    "section end": "last bar of a section",
    "ending": "the very last bar",
}
"""Where a bar of a pattern stands, in a student's words."""

STRUM_SIGNS = (
    "(D down, U up, small letters lighter, x damped, g barely touched, R roll, T tremolo; "
    "> louder, ' short, + the next chord early, ? only when it may be busy, . rings on, - stops.)"
)
"""How to read the strum rows; the signs are those of the pattern files."""


@dataclass(frozen=True, slots=True)
class HandoutSource:
    """What a handout is made from.

    ``strum`` names the strum pattern that is played, ``tempo_bpm`` counts the felt beat and
    ``line_pictures`` are the engraved systems of the line.
    """

    lead: Lead
    voicing: Voicing
    steps: Sequence[PlanStep]
    tempo_bpm: float
    swing_ratio: float
    strum: str
    line_pictures: tuple[str, ...] = ()


def handout_sheet(source: HandoutSource) -> Sheet:
    """Return the handout of a tune, ready to be set."""
    chart = source.lead.chart
    sections = _used_sections(chart)
    drawn = sum(len(bar.slots) for section in sections for bar in section.lane("swing"))
    rows = sum(-(-len(section.plain) // 4) for section in sections)
    has_legend = drawn > MOST_DIAGRAMS or rows > MOST_ROWS
    return Sheet(
        title=chart.title,
        by=chart.by,
        facts=_facts(chart, source),
        sections=tuple(_section(source, section, not has_legend) for section in sections),
        legend=_legend(source, sections) if has_legend else (),
        line=SheetLine(source.line_pictures, _line_note(source.voicing, sections)),
        strum=_strum(source.strum),
        changes=_changes(source.lead.swaps),
        steps=tuple(
            SheetStep(f"{step.minutes}′" if step.minutes else "", with_signs(step.words))
            for step in source.steps
        ),
        plan_note=f"{plan_minutes(source.steps)} minutes with rests",
        care=CARE,
    )


def _used_sections(chart: Chart) -> list[Section]:
    """Return the sections that are played, each once, in playing order."""
    names = [chart.intro, *form_of(chart), chart.ending]
    return [chart.section(name) for name in dict.fromkeys(name for name in names if name)]


def _facts(chart: Chart, source: HandoutSource) -> tuple[str, ...]:
    beat = "dotted quarter" if chart.meter.is_compound else "quarter"
    mode = "minor" if chart.key.mode == "minor" else "major"
    swing = "straight" if source.swing_ratio == 1 else f"swing {source.swing_ratio:.1f} : 1"
    if chart.settings.swing == SwingSetting():
        swing += " (by tempo)"
    form = " ".join(form_of(chart))
    return (
        f"{with_signs(str(chart.key.tonic))} {mode}, {chart.meter}, form {form}",
        f"{beat} = {source.tempo_bpm:g}, {swing}",
        f"{source.voicing.tuning.instrument}, {with_signs(source.voicing.tuning.name)}; "
        "frets from string "
        f"{source.voicing.tuning.strings} to string 1, the one nearest the floor",
    )


def _section(source: HandoutSource, section: Section, has_grips: bool) -> SheetSection:
    bars = []
    previous: Grip | None = None
    for number, (plain, swing) in enumerate(
        zip(section.plain, section.lane("swing"), strict=True), start=1
    ):
        voiced = _voiced(source.voicing, section.name, number)
        chords = []
        for slot, found in zip(swing.slots, voiced, strict=True):
            is_new = found.grip is not None and found.grip != previous
            has_picture = has_grips and is_new
            chords.append(_chord(found, float(slot.beats), is_new=is_new, has_picture=has_picture))
            previous = found.grip
        mark = ", ".join(filter(None, (_way(plain), _mark(source.lead, section, number))))
        bars.append(SheetBar(_plain(plain), tuple(chords), mark))
    count = len(bars)
    plural = "" if count == 1 else "s"
    return SheetSection(
        f"[{section.name}]",
        f"{count} bar{plural}: small, what you know; bold, what we play",
        tuple(bars),
    )


def _voiced(voicing: Voicing, section: str, bar: int) -> list[VoicedSlot]:
    own = [slot for slot in voicing.slots if (slot.section, slot.bar) == (section, bar)]
    first = min((slot.pass_number for slot in own), default=0)
    return [slot for slot in own if slot.pass_number == first]


def _plain(bar: Bar) -> tuple[SheetChord, ...]:
    if bar.is_percent:
        return (SheetChord("%"),)
    return tuple(
        SheetChord(with_signs(slot.chord.symbol) if slot.chord else "N.C.", float(slot.beats))
        for slot in bar.slots
    )


def _chord(found: VoicedSlot, beats: float, *, is_new: bool, has_picture: bool) -> SheetChord:
    symbol = with_signs(found.chord.symbol) if found.chord else "N.C."
    svg = grip_svg(found.grip) if found.grip and has_picture else ""
    return SheetChord(symbol, beats, svg, str(found.grip or "") if is_new else "")


def _way(bar: Bar) -> str:
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


def _legend(source: HandoutSource, sections: Sequence[Section]) -> tuple[SheetChord, ...]:
    names = {section.name for section in sections}
    found: dict[tuple[str, str], SheetChord] = {}
    for slot in source.voicing.slots:
        if slot.section in names and slot.grip is not None and slot.chord is not None:
            key = (slot.chord.symbol, str(slot.grip))
            found.setdefault(key, _chord(slot, 1.0, is_new=True, has_picture=True))
    return tuple(found.values())


def _line_note(voicing: Voicing, sections: Sequence[Section]) -> str:
    """Return the best line of every section in a teacher's words."""
    found = [(section.name, best_line(voicing, section.name)) for section in sections]
    return "; ".join(f"[{name}] {with_signs(str(line))}" for name, line in found if line)


def _strum(name: str) -> SheetStrum:
    data = load_pattern_data("strum", name)
    rows = tuple(_student_row(row) for row in counted_text(data))
    return SheetStrum(name, rows, f"{data.text('when')} {STRUM_SIGNS}")


def _student_row(row: str) -> str:
    place = row.removesuffix(":")
    return f"{BAR_WORDS[place]}:" if place in BAR_WORDS else row


def _changes(swaps: Sequence[Swap]) -> tuple[SheetChange, ...]:
    by_name: dict[str, list[Swap]] = {}
    for swap in swaps:
        by_name.setdefault(swap.name, []).append(swap)
    return tuple(
        SheetChange(with_signs(name), _places(found), with_signs(f"{found[0].reason}"))
        for name, found in list(by_name.items())[:MOST_CHANGES]
    )


def _places(swaps: Sequence[Swap]) -> str:
    first = swaps[0]
    chords = f"{' '.join(first.before)} → {' '.join(first.after)}"
    places = [f"[{swap.section}] bar {swap.bar}" for swap in swaps]
    named = ", ".join(dict.fromkeys(places[:MOST_PLACES]))
    more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
    return f"{with_signs(chords)}, {named}{more}"
