"""Tablature as text and as SVG: strings as rows, string 1 on top, chords above, the count below.

Like the diagrams the drawings use ``currentColor`` and presentation attributes alone;
``has_plate`` draws the paper behind one, for a picture by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Any

from porchswing.chart.model import Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.grips.drawings.diagram import svg_element, svg_line, svg_text
from porchswing.grips.melody.solo_notes import Solo, SoloSlot
from porchswing.grips.shapes.model import Tuning
from porchswing.theory.keys import spell_pc, spelled
from porchswing.theory.notes import with_signs
from porchswing.units import counted

WIDTH = 78
"""Columns of text that fit every terminal."""

CELL = 3
"""Columns for one step of the count: a fret of two digits and a dash."""

MOST_STEPS = 12
"""Most steps of one count; finer notes are drawn at the nearest."""


def tablature(solo: Solo, roadmap: Roadmap, section: str | None = None) -> str:
    """Return a solo as tablature, each written section once."""
    rows = [
        f"{solo.tuning.name}, {solo.lane} lane, chord melody, cost {solo.cost:.2f}"
        + ("" if solo.is_proven else " (the best found; there is too much to prove)")
    ]
    if solo.octaves:
        way = "up" if solo.octaves > 0 else "down"
        rows.append(f"the tune is moved {counted(abs(solo.octaves), 'octave')} {way}")
    for name, bars in written_bars(roadmap).items():
        if section in (None, name) and any(bar.melody for bar in bars):
            rows += ["", f"[{name}]", *_systems(solo, bars, roadmap.meter)]
    rows += ["", *(f"out of reach: {trouble}" for trouble in solo.troubles)]
    return "\n".join(rows).rstrip()


def written_bars(roadmap: Roadmap) -> dict[str, list[PlayedBar]]:
    """Return the bars of every section as written, each once."""
    found: dict[str, dict[int, PlayedBar]] = {}
    for bar in roadmap.bars:
        found.setdefault(bar.section, {}).setdefault(bar.bar, bar)
    return {name: [bars[number] for number in sorted(bars)] for name, bars in found.items()}


def _systems(solo: Solo, bars: Sequence[PlayedBar], meter: Meter) -> Iterator[str]:
    """Yield lines of bars, as many beside each other as fit."""
    heads = string_names(solo.tuning)
    wide = max(map(len, heads))
    line: list[list[str]] = []
    used = wide + 2
    for bar in bars:
        block = _bar_block(solo.of_bar(bar), bar, solo.tuning, meter)
        if line and used + len(block[0]) > WIDTH:
            yield from _joined(line, heads, wide)
            line, used = [], wide + 2
        line.append(block)
        used += len(block[0])
    if line:
        yield from _joined(line, heads, wide)


def _joined(line: Sequence[Sequence[str]], heads: Sequence[str], wide: int) -> Iterator[str]:
    count = len(heads)
    yield (" " * (wide + 2) + "".join(block[0] for block in line)).rstrip()
    for row, head in enumerate(heads, 1):
        yield f"{head.rjust(wide)} |" + "".join(block[row] for block in line)
    yield (" " * (wide + 2) + "".join(block[count + 1] for block in line)).rstrip()
    yield ""


def string_names(tuning: Tuning) -> list[str]:
    """Return the notes of the open strings, string 1 first; one above its neighbours is small."""
    names = []
    for index in reversed(range(tuning.strings)):
        note = str(spell_pc(tuning.open_midi[index] % 12))
        is_high = index == 0 and not tuning.hears_bass and tuning.strings > 1
        names.append(note.lower() if is_high else note)
    return names


@dataclass(frozen=True, slots=True)
class _Grid:
    """The steps of one bar: how many, and how long each is, in quarters."""

    steps: int
    step: Fraction

    def column(self, at: Fraction) -> int:
        return min(self.steps - 1, round(at / self.step))


def _grid(slots: Sequence[SoloSlot], bar: PlayedBar, meter: Meter) -> _Grid:
    unit = meter.unit_beats
    parts = lcm(1, *((slot.at / unit).denominator for slot in slots))
    step = unit / min(parts if parts > 1 else 2, MOST_STEPS)
    return _Grid(int(bar.beats / step), step)


def _bar_block(
    slots: Sequence[SoloSlot], bar: PlayedBar, tuning: Tuning, meter: Meter
) -> list[str]:
    """Return the rows of one bar: chords, strings from string 1, count."""
    grid = _grid(slots, bar, meter)
    width = grid.steps * CELL
    rows = [["-"] * (width + 1) for _ in range(tuning.strings)]
    for slot in slots:
        at = grid.column(slot.at) * CELL + 1
        for index, fret in enumerate(slot.grip.frets):
            if fret is not None:
                text = str(fret)
                rows[tuning.strings - 1 - index][at : at + len(text)] = list(text)
    chords = [" "] * (width + 2)
    for onset, each in with_onsets(bar.slots):
        text = str(each.chord) if each.chord else "N.C."
        at = grid.column(onset) * CELL + 1
        if all(sign == " " for sign in chords[at : at + len(text) + 1]):
            chords[at : at + len(text)] = list(text)
    head = "".join(chords)[: width + 2].ljust(width + 2)
    return [head, *("".join(row) + "|" for row in rows), _count(grid, meter).ljust(width + 2)]


def _count(grid: _Grid, meter: Meter) -> str:
    per_unit = int(meter.unit_beats / grid.step)
    cells = []
    for step in range(grid.steps):
        beat, inside = divmod(step, per_unit)
        word = str(beat + 1) if not inside else ("&" if 2 * inside == per_unit else ".")
        cells.append(word.ljust(CELL))
    return " " + "".join(cells)


def solo_facts(solo: Solo, section: str | None = None) -> dict[str, Any]:
    """Return a solo as the JSON shape of ``grips --melody``."""
    return {
        "tuning": solo.tuning.name,
        "cost": solo.cost,
        "proven": solo.is_proven,
        "octaves": solo.octaves,
        "notes": [
            {
                "section": slot.section,
                "bar": slot.bar,
                "at_beats": float(slot.at),
                "beats": float(slot.beats),
                "note": spelled(slot.pitch, slot.chord),
                "midi": slot.pitch,
                "symbol": str(slot.chord) if slot.chord else None,
                "frets": list(slot.grip.frets),
                "fingers": list(slot.grip.fingers),
                "chord": slot.is_chord,
                "tension": slot.is_tension,
            }
            for slot in solo.slots
            if section in (None, slot.section)
        ],
        "troubles": list(solo.troubles),
    }


# --- SVG -----------------------------------------------------------------------------------

BEAT_WIDTH, STRING_GAP = 44.0, 15.0
"""Width of a unit of the meter, and distance of two strings, in drawing units."""

LEFT, TOP, BELOW, SYSTEM_GAP = 26.0, 24.0, 24.0, 16.0
"""Room for the strings' names, for chords above, for the count below, between two lines."""

BARS_A_LINE = 4
FRET_SIZE, CHORD_SIZE, COUNT_SIZE = 13.0, 14.0, 10.0
DIGIT_WIDTH = 8.0
"""The gap cut into a string for a fret's digit."""


def tablature_svg(solo: Solo, roadmap: Roadmap, section: str, *, has_plate: bool = False) -> str:
    """Return one section of a solo as one SVG element."""
    bars = written_bars(roadmap)[section]
    parts: list[str] = []
    top, widest = 0.0, 0.0
    for first in range(0, len(bars), BARS_A_LINE):
        line = bars[first : first + BARS_A_LINE]
        widest = max(widest, _drawn_system(parts, solo, line, roadmap.meter, top))
        top += TOP + STRING_GAP * (solo.tuning.strings - 1) + BELOW + SYSTEM_GAP
    label = f"section {section}: the tune on top of its grips, as tablature"
    return svg_element(widest + 6, max(top - SYSTEM_GAP, 1.0), parts, label, has_plate=has_plate)


def _drawn_system(
    parts: list[str], solo: Solo, bars: Sequence[PlayedBar], meter: Meter, top: float
) -> float:
    """Draw one line of bars; return its width."""
    count = solo.tuning.strings
    strings_y = [top + TOP + STRING_GAP * row for row in range(count)]
    for row, name in enumerate(string_names(solo.tuning)):
        parts.append(svg_text(LEFT - 10, strings_y[row] + 4, name, COUNT_SIZE, anchor="end"))
    x = LEFT
    parts.append(svg_line(x, strings_y[0], x, strings_y[-1], 1.2))
    for bar in bars:
        end = x + float(bar.beats / meter.unit_beats) * BEAT_WIDTH
        gaps: list[list[tuple[float, float]]] = [[] for _ in range(count)]
        for slot in solo.of_bar(bar):
            at = x + (float(slot.at / meter.unit_beats) + 0.4) * BEAT_WIDTH
            for index, fret in enumerate(slot.grip.frets):
                if fret is None:
                    continue
                row, text = count - 1 - index, str(fret)
                half = DIGIT_WIDTH * len(text) / 2 + 1
                gaps[row].append((at - half, at + half))
                parts.append(svg_text(at, strings_y[row] + 4.6, text, FRET_SIZE, weight="bold"))
        for row, y in enumerate(strings_y):
            start = x
            for left, right in sorted(gaps[row]):
                parts.append(svg_line(start, y, max(start, left), y, 0.8))
                start = right
            parts.append(svg_line(start, y, end, y, 0.8))
        parts += _above_and_below(bar, meter, x, top, strings_y[-1])
        parts.append(svg_line(end, strings_y[0], end, strings_y[-1], 1.2))
        x = end
    return x


def _above_and_below(
    bar: PlayedBar, meter: Meter, x: float, top: float, bottom: float
) -> list[str]:
    """Return the chords over a bar and the count under it."""
    parts = []
    for onset, slot in with_onsets(bar.slots):
        at = x + (float(onset / meter.unit_beats) + 0.2) * BEAT_WIDTH
        name = with_signs(str(slot.chord)) if slot.chord else "N.C."
        parts.append(svg_text(at, top + TOP - 11, name, CHORD_SIZE, anchor="start", weight="bold"))
    for beat in range(int(bar.beats / meter.unit_beats)):
        at = x + (beat + 0.4) * BEAT_WIDTH
        parts.append(svg_text(at, bottom + BELOW - 8, str(beat + 1), COUNT_SIZE))
    return parts
