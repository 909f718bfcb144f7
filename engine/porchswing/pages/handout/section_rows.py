"""The rows of a section on a handout: bars with their grips, and the line of one string."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate

from porchswing.chart.model import Bar, Section
from porchswing.chart.sung_text import sung_cells
from porchswing.grips.drawings.diagram import grip_svg, svg_element
from porchswing.grips.drawings.line_strip import ContourNote, contour_parts
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.vocabulary.slides import marks_said
from porchswing.harmony.choice.lead import Lead
from porchswing.pages.handout.sheet import BARS_A_ROW, SheetBar, SheetChord, SheetRow
from porchswing.pages.symbols import SymbolParts, symbol_parts
from porchswing.theory.keys import Key, shown_pc
from porchswing.theory.notes import with_signs

MOST_DRAWN = 2
"""Grips that a bar draws beside each other in a row of four; with more, rows hold two bars."""

LEAST_OF_EQUAL = 0.9
"""Least width of a drawn grip, as a share of what it has where a bar is divided evenly."""

LINE_WIDTH, LINE_HEIGHT = 560.0, 46.0
"""A row's line in drawing units: as wide as the sheet."""


RowSpan = tuple[range, int]
"""A row of the sheet: the places of its bars, and how many bars would fill it."""


def stretches(bars: Sequence[SheetBar], firsts: Sequence[int]) -> list[RowSpan]:
    """Return the rows that hold the fours of bars beginning at ``firsts``, parted where crowded."""
    found: list[RowSpan] = []
    for first in firsts:
        four = bars[first : first + BARS_A_ROW]
        drawn = max(sum(bool(chord.svg) for chord in bar.swing) for bar in four)
        width = BARS_A_ROW if drawn <= MOST_DRAWN else BARS_A_ROW // 2
        places = range(first, first + len(four))
        found += [(places[at : at + width], width) for at in range(0, len(four), width)]
    return found


def sheet_rows(
    bars: Sequence[SheetBar], rows: Sequence[RowSpan], lines: Sequence[str] = ()
) -> tuple[SheetRow, ...]:
    """Return the rows of a sheet, each with its line where there are ``lines``."""
    return tuple(
        SheetRow(tuple(bars[place] for place in places), line, width)
        for (places, width), line in zip(rows, lines or [""] * len(rows), strict=True)
    )


def section_bars(
    lead: Lead,
    voicing: Voicing,
    section: Section,
    ways: Sequence[Voicing] = (),
    afresh: Sequence[int] = (),
) -> list[SheetBar]:
    """Return a section's bars; grips are drawn where they change, and ``afresh`` at some bars."""
    found = []
    own = _lane_chords(voicing, section, "swing", afresh)
    others = [_lane_chords(way, section, way.lane) for way in ways]
    bars = zip(section.plain, own, *others, strict=True)
    for index, (plain, (here, chords), *by_way) in enumerate(bars):
        played = "; ".join(filter(None, map(marks_said, here)))
        swaps = (s.name for s in lead.swaps if (s.section, s.bar) == (section.name, index + 1))
        mark = ", ".join(filter(None, (_repeats(plain), *dict.fromkeys(swaps), played)))
        verses = tuple(sung_cells(verse[index], plain.beats) for verse in section.words)
        each = tuple(chords for _, chords in by_way)
        found.append(SheetBar(_plain(plain, chords), chords, with_signs(mark), each, verses))
    return found


def _lane_chords(
    voicing: Voicing, section: Section, lane: str, afresh: Sequence[int] = ()
) -> Iterator[tuple[list[VoicedSlot], tuple[SheetChord, ...]]]:
    """Yield the slots and the chords of every bar, each grip drawn where it changes."""
    previous: Grip | None = None
    for index, bar in enumerate(section.lane(lane)):
        here = _voiced(voicing, section.name, index + 1)
        previous = None if index in afresh else previous
        chords = []
        for slot, found in zip(bar.slots, here, strict=True):
            new = found.grip if found.grip != previous else None
            svg, frets = ("", "") if new is None else (grip_svg(new), str(new))
            chords.append(SheetChord(symbol_parts(found.chord), float(slot.beats), svg, frets))
            previous = found.grip
        yield here, _wide_enough(chords)


def _wide_enough(chords: Sequence[SheetChord]) -> tuple[SheetChord, ...]:
    """Return the chords of a bar with room for every drawn grip, however short its chord."""
    beats = sum(chord.share for chord in chords)
    shares = [chord.share / beats for chord in chords]
    least = LEAST_OF_EQUAL / len(chords)
    kept = [
        share
        for chord, share in zip(chords, shares, strict=True)
        if not chord.svg or share >= least
    ]
    left = (1 - least * (len(chords) - len(kept))) / sum(kept)
    return tuple(
        replace(chord, share=least if chord.svg and share < least else share * left)
        for chord, share in zip(chords, shares, strict=True)
    )


def row_lines(
    voicing: Voicing,
    section: str,
    key: Key,
    string: int,
    bars: Sequence[SheetBar],
    rows: Sequence[RowSpan],
) -> list[str]:
    """Return the line of a string row by row, each note under its grip."""
    index = voicing.tuning.index(string)
    found: list[list[ContourNote]] = []
    is_joined = False
    for places, width in rows:
        notes: list[ContourNote] = []
        for column, place in enumerate(places):
            voiced = _voiced(voicing, section, place + 1)
            for slot, middle in zip(voiced, _middles(bars[place]), strict=True):
                fret = slot.grip.frets[index] if slot.grip else None
                pitch = slot.grip.midi[index] if slot.grip else None
                if fret is None or pitch is None:
                    is_joined = False
                    continue
                pc = shown_pc(pitch % 12, slot.chord, key)
                x = (column + middle) / width * LINE_WIDTH
                joins = is_joined and bool(notes)
                notes.append(ContourNote(x, pitch, fret, with_signs(str(pc)), joins))
                is_joined = True
        found.append(notes)
    pitches = [note.midi for notes in found for note in notes]
    low, high = min(pitches, default=0), max(pitches, default=0)
    lines = (contour_parts(notes, 0.0, LINE_HEIGHT, low, high) for notes in found)
    return [
        svg_element(LINE_WIDTH, LINE_HEIGHT, parts, "the line of one string") if notes else ""
        for notes, parts in zip(found, lines, strict=True)
    ]


def _middles(bar: SheetBar) -> Iterator[float]:
    """Yield the middle of each chord's column, as a share of its bar."""
    shares = [chord.share for chord in bar.swing]
    for share, end in zip(shares, accumulate(shares), strict=True):
        yield (end - share / 2) / sum(shares)


def _voiced(voicing: Voicing, section: str, bar: int) -> list[VoicedSlot]:
    own = [slot for slot in voicing.slots if (slot.section, slot.bar) == (section, bar)]
    first = min((slot.pass_number for slot in own), default=0)
    return [slot for slot in own if slot.pass_number == first]


def _plain(bar: Bar, below: Sequence[SheetChord]) -> tuple[SheetChord, ...]:
    """Return the plain chords of a bar, each above its own of as many chords ``below``."""
    if bar.is_percent:
        return (SheetChord(SymbolParts("%")),)
    is_above = len(bar.slots) == len(below)
    shares = [chord.share for chord in below] if is_above else [float(s.beats) for s in bar.slots]
    return tuple(
        SheetChord(symbol_parts(slot.chord), share)
        for slot, share in zip(bar.slots, shares, strict=True)
    )


def _repeats(bar: Bar) -> str:
    """Return in words what the bar lines of a repeat mean, since the sheet draws none."""
    words = {
        f"ending {bar.ending}": bar.ending is not None,
        "repeat from here": bar.repeat_start,
        f"back to the repeat, {bar.repeat_times} times in all": bar.repeat_times > 0,
    }
    return ", ".join(each for each, is_so in words.items() if is_so)
