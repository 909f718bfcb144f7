"""One string's line as beads on a thread: a note that falls is drawn lower.

Every bead holds its fret, its note stands beside it. The practice page draws the same picture
in HTML (``pages/practice/board_html.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import hypot

BEAD_RADIUS = 8.0
FRET_SIZE, NOTE_SIZE = 11.0, 10.5
THREAD_WIDTH = 1.6
NAME_ROOM = 6.0
"""Room above the highest bead for its name."""


@dataclass(frozen=True, slots=True)
class ContourNote:
    """One note of a string: where it stands across, its pitch and fret, its name as printed.

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
