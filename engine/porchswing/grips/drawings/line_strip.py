"""A section as a strip of grips, with the line of one string drawn through the dots."""

from __future__ import annotations

from collections.abc import Sequence

from porchswing.grips.drawings.diagram import (
    TITLE_HEIGHT,
    Frame,
    Window,
    drawn_grip,
    svg_element,
    title_above,
)
from porchswing.grips.drawings.lines import LineRun, section_slots
from porchswing.grips.shapes.model import VoicedSlot, Voicing
from porchswing.theory.notes import with_signs

LINE_WIDTH, LINE_OPACITY = 9.0, 0.35
"""The line is broad and light, so that the dots stay what one reads first."""

ROW_GAP = 10.0


def strip_svg(
    voicing: Voicing,
    section: str | None = None,
    line: LineRun | None = None,
    *,
    per_row: int = 4,
    width_mm: float | None = None,
) -> str:
    """Return a section's grips as one SVG element, row after row.

    All grips of a row share one window of frets, numbered at its first, so a line that falls
    is seen to climb towards the nut. Slots that keep their grip are drawn once.

    Parameters
    ----------
    section
        The section to draw, or everything.
    line
        A run from :func:`porchswing.grips.drawings.lines.line_runs` of the same section.
    per_row
        Grips in a row.
    width_mm
        Width in print.
    """
    slots = section_slots(voicing, section)
    drawn = _drawn(slots)
    rows = [drawn[start : start + per_row] for start in range(0, len(drawn), per_row)]
    parts: list[str] = []
    frames: dict[int, Frame] = {}
    top, width = 0.0, 1.0
    for row in rows:
        window = Window.around([grip for _, slot in row if (grip := slot.grip)])
        left = 0.0
        for place, slot in row:
            strings = voicing.tuning.strings
            frame = Frame(left, top + TITLE_HEIGHT, window, strings, numbered=left == 0)
            frames[place] = frame
            parts.append(title_above(with_signs(str(slot.chord)), frame))
            left += frame.width
        width = max(width, left)
        top += TITLE_HEIGHT + frames[row[0][0]].height + ROW_GAP
    if line is not None:
        parts += _through_dots(line, slots, frames, voicing)
    for place, slot in drawn:
        assert slot.grip is not None
        parts += drawn_grip(slot.grip, frames[place])
    label = ", ".join(f"{slot.chord} {slot.grip}" for _, slot in drawn)
    if line is not None:
        label += f"; {line}"
    return svg_element(width, max(top - ROW_GAP, 1.0), parts, label, width_mm)


def _drawn(slots: Sequence[VoicedSlot]) -> list[tuple[int, VoicedSlot]]:
    """Return the slots that bring a new grip or a new chord, with their places."""
    found: list[tuple[int, VoicedSlot]] = []
    for place, slot in enumerate(slots):
        if slot.grip is None:
            continue
        if found and (found[-1][1].grip, found[-1][1].chord) == (slot.grip, slot.chord):
            continue
        found.append((place, slot))
    return found


def _through_dots(
    line: LineRun, slots: Sequence[VoicedSlot], frames: dict[int, Frame], voicing: Voicing
) -> list[str]:
    """Draw the line from dot to dot, row by row."""
    index = voicing.tuning.index(line.string)
    parts: list[str] = []
    points: list[tuple[float, float]] = []
    row_top: float | None = None
    for place in sorted(frames):
        if not line.start <= place <= line.end:
            continue
        grip, frame = slots[place].grip, frames[place]
        fret = grip.frets[index] if grip else None
        if fret is None:
            continue
        if row_top is not None and frame.top != row_top:
            parts += _polyline(points)
            points = []
        row_top = frame.top
        points.append((frame.x(index), frame.y(fret)))
    return [*parts, *_polyline(points)]


def _polyline(points: Sequence[tuple[float, float]]) -> list[str]:
    if len(points) < 2:
        return []
    path = " ".join(f"{x:g},{y:g}" for x, y in points)
    return [
        f'<polyline points="{path}" fill="none" stroke="currentColor" '
        f'stroke-width="{LINE_WIDTH:g}" stroke-opacity="{LINE_OPACITY:g}" '
        'stroke-linecap="round" stroke-linejoin="round"/>'
    ]
