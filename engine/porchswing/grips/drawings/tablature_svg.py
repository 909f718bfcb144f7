"""Tablature as SVG: one drawing a section, strings as lines, the count below.

Like the diagrams it uses ``currentColor`` and presentation attributes alone; ``has_plate`` draws
the paper behind it, for a picture that stands by itself.
"""

from __future__ import annotations

from collections.abc import Sequence

from porchswing.chart.model import Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.grips.drawings.diagram import svg_element, svg_line, svg_text
from porchswing.grips.drawings.tablature import string_names, written_bars
from porchswing.grips.melody.solo_model import Solo
from porchswing.theory.notes import with_signs

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
        width = _system(parts, solo, line, roadmap.meter, top)
        widest = max(widest, width)
        top += TOP + STRING_GAP * (solo.tuning.strings - 1) + BELOW + SYSTEM_GAP
    label = f"section {section}: the tune on top of its grips, as tablature"
    return svg_element(widest + 6, max(top - SYSTEM_GAP, 1.0), parts, label, has_plate=has_plate)


def _system(
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
