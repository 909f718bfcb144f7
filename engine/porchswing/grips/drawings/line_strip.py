"""The pictures of a voicing: one for each grip, a strip of grips for each section.

Under each row of a strip is the line of one string as beads on a thread: a note that falls is drawn
lower. Every bead holds its fret, its note is beside it. The practice page draws the same
picture in HTML (``pages/practice/board_html.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import hypot

from porchswing.chart.model import LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.drawings.diagram import (
    TITLE_HEIGHT,
    Frame,
    Window,
    drawn_grip,
    grip_svg,
    svg_element,
    title_above,
)
from porchswing.grips.drawings.lines import (
    LineRun,
    asked_line,
    best_line,
    target_of,
)
from porchswing.grips.shapes.model import VoicedSlot, Voicing, changed_slots, section_slots
from porchswing.outputs.names import file_word
from porchswing.theory.keys import spelled
from porchswing.theory.notes import with_signs

LINE_HEIGHT = 46.0
"""Room for the line under a row of grips."""

GRIPS_A_ROW, ROW_GAP = 4, 10.0

BEAD_RADIUS = 8.0
FRET_SIZE, NOTE_SIZE = 11.0, 10.5
THREAD_WIDTH = 1.6
NAME_ROOM = 6.0
"""Room above the highest bead for its name."""


def strip_svg(
    voicing: Voicing,
    section: str | None = None,
    line: LineRun | None = None,
    *,
    has_plate: bool = False,
) -> str:
    """Return a section's grips as one SVG element, row after row.

    All grips of a row share one window of frets, numbered at its first. Slots that keep their
    grip are drawn once. The line runs below its row, a falling note lower.

    Parameters
    ----------
    section
        The section to draw, or everything.
    line
        A run from :func:`porchswing.grips.drawings.lines.line_runs` of the same section.
    has_plate
        Whether it has a light plate of its own, as a file does.
    """
    slots = section_slots(voicing, section)
    drawn = changed_slots(slots)
    rows = [drawn[at : at + GRIPS_A_ROW] for at in range(0, len(drawn), GRIPS_A_ROW)]
    parts: list[str] = []
    frames: dict[int, Frame] = {}
    top, width = 0.0, 1.0
    for row in rows:
        window = Window.around([grip for _, slot in row if (grip := slot.grip)])
        left = 0.0
        for place, slot in row:
            frame = Frame(
                left,
                top + TITLE_HEIGHT,
                window,
                voicing.tuning.strings,
                numbered=left == 0,
                is_mirrored=voicing.tuning.is_left_handed,
            )
            frames[place] = frame
            parts.append(title_above(with_signs(str(slot.chord)), frame))
            left += frame.width
        width = max(width, left)
        top += TITLE_HEIGHT + frames[row[0][0]].height
        if line is not None:
            notes = _notes(line, slots, [place for place, _ in row], frames, voicing)
            parts += contour_parts(notes, top, LINE_HEIGHT, min(line.midi), max(line.midi))
            top += LINE_HEIGHT
        top += ROW_GAP
    for place, slot in drawn:
        assert slot.grip is not None
        parts += drawn_grip(slot.grip, frames[place])
    label = ", ".join(f"{slot.chord} {slot.grip}" for _, slot in drawn)
    if line is not None:
        label += f"; {line}"
    return svg_element(width, max(top - ROW_GAP, 1.0), parts, label, has_plate=has_plate)


def _notes(
    line: LineRun,
    slots: Sequence[VoicedSlot],
    places: Sequence[int],
    frames: dict[int, Frame],
    voicing: Voicing,
) -> list[ContourNote]:
    """Return the notes of the line under one row, each below the middle of its diagram."""
    index = voicing.tuning.index(line.string)
    notes: list[ContourNote] = []
    for place in places:
        slot, frame = slots[place], frames[place]
        fret = slot.grip.frets[index] if slot.grip else None
        pitch = slot.grip.midi[index] if slot.grip else None
        if fret is None or pitch is None or not line.places[0] <= place <= line.places[-1]:
            continue
        middle = (frame.x(0) + frame.x(frame.strings - 1)) / 2
        name = with_signs(spelled(pitch, slot.chord).rstrip("0123456789-"))
        notes.append(ContourNote(middle, pitch, fret, name, is_joined=bool(notes)))
    return notes


def drawings(
    voicing: Voicing,
    roadmap: Roadmap,
    section: str | None = None,
    line: LineTarget | None = None,
) -> dict[str, str]:
    """Return SVG texts by file name, such as ``Am7_5757.svg`` and ``section_B.svg``.

    The strips show the line asked for where a string carries it, else the best one.
    """
    found: dict[str, str] = {}
    for name in voicing.sections:
        if section not in (None, name):
            continue
        target = target_of(roadmap, name, line)
        run = (asked_line(voicing, target, name) if target else None) or best_line(voicing, name)
        found[f"section_{file_word(name)}.svg"] = strip_svg(voicing, name, run, has_plate=True)
    for slot in voicing.slots:
        if slot.grip is not None and section in (None, slot.section):
            name = f"{file_word(str(slot.chord))}_{slot.grip}.svg"
            if name not in found:
                found[name] = grip_svg(slot.grip, with_signs(str(slot.chord)), has_plate=True)
    return found


# --- one line ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ContourNote:
    """One note of a string: its place across, its pitch and fret, its name as printed.

    ``is_joined`` says that it follows the note before with no rest or muted string between.
    """

    x: float
    midi: int
    fret: int
    name: str
    is_joined: bool


def contour_parts(
    notes: Sequence[ContourNote], top: float, height: float, low: int, high: int
) -> list[str]:
    """Return the SVG parts of a line between ``top`` and ``top + height``.

    ``low`` and ``high`` are the pitches at the bottom and at the top, so that rows of one line
    share a scale.
    """
    span = height - 2 * BEAD_RADIUS - NAME_ROOM - 1

    def y(note: ContourNote) -> float:
        share = (high - note.midi) / (high - low) if high > low else 0.5
        return top + BEAD_RADIUS + NAME_ROOM + span * share

    parts = [_thread(a.x, y(a), b.x, y(b)) for a, b in pairwise(notes) if b.is_joined]
    for note in notes:
        parts += _bead(note, y(note))
    return parts


def _thread(x: float, y: float, x2: float, y2: float) -> str:
    """Return the thread between two beads, from edge to edge."""
    length = hypot(x2 - x, y2 - y)
    if length <= 2 * BEAD_RADIUS:
        return ""
    dx, dy = (x2 - x) * BEAD_RADIUS / length, (y2 - y) * BEAD_RADIUS / length
    return (
        f'<line x1="{x + dx:.2f}" y1="{y + dy:.2f}" x2="{x2 - dx:.2f}" y2="{y2 - dy:.2f}" '
        f'stroke="currentColor" stroke-width="{THREAD_WIDTH:g}"/>'
    )


def _bead(note: ContourNote, y: float) -> list[str]:
    return [
        f'<circle cx="{note.x:.2f}" cy="{y:.2f}" r="{BEAD_RADIUS:g}" fill="none" '
        f'stroke="currentColor" stroke-width="{THREAD_WIDTH:g}"/>',
        f'<text x="{note.x:.2f}" y="{y + FRET_SIZE * 0.36:.2f}" font-size="{FRET_SIZE:g}" '
        f'font-weight="bold" text-anchor="middle">{note.fret}</text>',
        f'<text x="{note.x + BEAD_RADIUS + 1.5:.2f}" y="{y - BEAD_RADIUS + 2:.2f}" '
        f'font-size="{NOTE_SIZE:g}">{escape(note.name)}</text>',
    ]
