"""Grip diagrams: as text for the terminal and as SVG for page and paper.

Strings stand upright, the highest-numbered one on the left, the nut on top; dots say where
fingers press, the numbers below say which finger, the number at the side says the fret of
the first row. SVG drawings use ``currentColor`` and presentation attributes alone, so they
follow dark mode and print, and fit into any page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import zip_longest

from porchswing.grips.drawings.spoken import spoken
from porchswing.grips.shapes.model import Grip

LEAST_ROWS = 4
"""Fewest frets a diagram shows."""

NUT_FRETS, NEAR_NUT = 4, 2
"""A grip that reaches no further, and begins so near or has open strings, is drawn from the nut."""


@dataclass(frozen=True, slots=True)
class Window:
    """The frets a diagram shows: ``rows`` of them from ``first`` on."""

    first: int
    rows: int

    @classmethod
    def around(cls, grips: Sequence[Grip]) -> Window:
        """Return the smallest window that shows all of some grips.

        >>> from porchswing.grips.shapes.tunings import tuning
        >>> Window.around([Grip((5, 4, 3, 3), tuning("gCEA"))])
        Window(first=3, rows=4)
        """
        frets = [fret for grip in grips for fret in grip.frets if fret]
        is_open = any(fret == 0 for grip in grips for fret in grip.frets)
        if not frets or (max(frets) <= NUT_FRETS and (is_open or min(frets) <= NEAR_NUT)):
            return cls(1, max(LEAST_ROWS, *frets, 0))
        return cls(min(frets), max(LEAST_ROWS, max(frets) - min(frets) + 1))


# --- text ----------------------------------------------------------------------------------


def grip_text(grip: Grip, title: str = "") -> tuple[str, ...]:
    r"""Return a diagram as rows of text, all of one width.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> print("\n".join(row.rstrip() for row in grip_text(Grip((5, 4, 3, 3), tuning("gCEA")))))
    <BLANKLINE>
     3 │ │ ●━●
     4 │ ● │ │
     5 ● │ │ │
     6 │ │ │ │
       3 2 1 1
    """
    window = Window.around([grip])
    wide = 2 * len(grip.frets) - 1
    turn = slice(None, None, -1 if grip.tuning.is_left_handed else 1)
    marks = {None: "×", 0: "○"}
    rows = ["   " + " ".join(marks.get(fret, " ") for fret in grip.frets).ljust(wide)[turn]]
    for fret in range(window.first, window.first + window.rows):
        rows.append(f"{fret:>2} {_fret_row(grip, fret).ljust(wide)[turn]}")
    rows.append("   " + " ".join(str(finger or " ") for finger in grip.fingers)[turn])
    if title:
        rows.insert(0, f"   {title}")
    width = max(len(row) for row in rows)
    return tuple(row.ljust(width) for row in rows)


def _fret_row(grip: Grip, fret: int) -> str:
    """Draw one fret: a dot, the string, or the string under a barre; a barre joins them."""
    barred: set[int] = set()
    for press in grip.held.presses:
        if press.fret == fret and press.is_barre:
            barred.update(range(press.first, press.last + 1))
    cells = []
    for index, here in enumerate(grip.frets):
        mark = "●" if here == fret else ("┿" if index in barred else "│")
        cells.append(mark + ("━" if {index, index + 1} <= barred else " "))
    return "".join(cells).rstrip(" ")


def beside(blocks: Sequence[Sequence[str]], width: int = 78, gap: int = 3) -> tuple[str, ...]:
    """Set blocks of text side by side, in as many lines of blocks as the width asks for."""
    lines: list[list[tuple[int, Sequence[str]]]] = []
    used = 0
    for block in blocks:
        own = max(map(len, block), default=0)
        used += gap + own
        if not lines or used > width:
            lines.append([])
            used = own
        lines[-1].append((own, block))
    rows: list[str] = []
    for line in lines:
        for cells in zip_longest(*(block for _, block in line), fillvalue=""):
            padded = (cell.ljust(own) for cell, (own, _) in zip(cells, line, strict=True))
            rows.append((" " * gap).join(padded).rstrip())
        rows.append("")
    return tuple(rows[:-1])


# --- SVG -----------------------------------------------------------------------------------

STRING_GAP, FRET_GAP = 16.0, 19.0
"""Between neighbouring strings and neighbouring frets, in drawing units."""

DOT_RADIUS, OPEN_RADIUS = 6.0, 3.6
LEFT, RIGHT, TOP, BOTTOM = 22.0, 22.0, 16.0, 20.0
"""Room beside the strings (as much on both sides, so that a diagram stands centred under its
name), above for open and muted marks, below for finger numbers."""

TITLE_HEIGHT, TITLE_SIZE, TITLE_LETTERS = 20.0, 16.0, 7
"""Room for a title above, its size, and how many letters of it fit; longer ones shrink."""

PLATE, PLATE_INK = "#fffaf0", "#2a2018"
"""Colours of a picture by itself, the practice page's own: 15 to 1."""

FONT = "system-ui, sans-serif"
"""Fonts that every screen and printer has; a letter at 2 cm width is 3 mm tall."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The place of one diagram: its top left corner, its window and its number of strings.

    ``numbered`` says whether the fret of the first row is printed at its side; a mirrored one has
    string 1 on the left and that number on the right.
    """

    left: float
    top: float
    window: Window
    strings: int
    numbered: bool = True
    is_mirrored: bool = False

    @property
    def width(self) -> float:
        """Width of the drawing, room at the sides included."""
        return LEFT + STRING_GAP * (self.strings - 1) + RIGHT

    @property
    def height(self) -> float:
        """Height of the drawing, marks and numbers included."""
        return TOP + FRET_GAP * self.window.rows + BOTTOM

    def x(self, index: int) -> float:
        """Return the x of a string."""
        place = self.strings - 1 - index if self.is_mirrored else index
        return self.left + LEFT + STRING_GAP * place

    def y(self, fret: int) -> float:
        """Return the y of a finger: between its fret and the one before; 0 is open."""
        if fret == 0:
            return self.top + TOP - OPEN_RADIUS - 4
        return self.top + TOP + FRET_GAP * (fret - self.window.first + 0.5)


def grip_svg(grip: Grip, title: str = "", *, has_plate: bool = False) -> str:
    """Return a diagram as one SVG element.

    Parameters
    ----------
    title
        Text above, such as the chord symbol; it is also what a screen reader says.
    has_plate
        Whether it has a light plate of its own, as a file does: a picture cannot know
        whether its page is light or dark.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> grip_svg(Grip((5, 4, 3, 3), tuning("gCEA")), "C").startswith("<svg")
    True
    """
    above = TITLE_HEIGHT if title else 0.0
    frame = Frame(
        0.0,
        above,
        Window.around([grip]),
        grip.tuning.strings,
        is_mirrored=grip.tuning.is_left_handed,
    )
    parts = [title_above(title, frame)] if title else []
    parts += drawn_grip(grip, frame)
    label = (f"{title}, " if title else "") + f"grip {grip}: {spoken(grip)}"
    return svg_element(frame.width, above + frame.height, parts, label, has_plate=has_plate)


def svg_element(
    width: float,
    height: float,
    parts: Sequence[str],
    label: str,
    *,
    has_plate: bool = False,
) -> str:
    """Wrap drawn parts into one SVG element with a text for screen readers.

    It takes the size its page gives it.
    """
    ink, plate = "currentColor", ""
    if has_plate:
        ink = PLATE_INK
        plate = f'<rect width="{width:g}" height="{height:g}" rx="6" fill="{PLATE}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'role="img" aria-label="{escape(label)}" fill="currentColor" stroke="none" '
        f'color="{ink}" font-family="{FONT}">' + plate + "".join(parts) + "</svg>"
    )


def svg_text(
    x: float, y: float, text: str, size: float, *, anchor: str = "middle", weight: str = "normal"
) -> str:
    """Return a text, its baseline at ``y``."""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" '
        f'font-weight="{weight}">{escape(text)}</text>'
    )


def title_above(title: str, frame: Frame) -> str:
    """Return a title over the middle of a diagram, smaller where it is long."""
    middle = (frame.x(0) + frame.x(frame.strings - 1)) / 2
    size = TITLE_SIZE * min(1.0, TITLE_LETTERS / len(title))
    return svg_text(middle, frame.top - 5, title, round(size, 1), weight="bold")


def svg_line(x: float, y: float, x2: float, y2: float, width: float) -> str:
    """Return a straight stroke in the page's ink."""
    return (
        f'<line x1="{x:g}" y1="{y:g}" x2="{x2:g}" y2="{y2:g}" stroke="currentColor" '
        f'stroke-width="{width:g}" stroke-linecap="round"/>'
    )


def drawn_grip(grip: Grip, frame: Frame) -> list[str]:
    """Return the parts of one diagram: board, open and muted strings, fingers, numbers."""
    return [*_board(frame), *_above(grip, frame), *_fingers(grip, frame), *_numbers(grip, frame)]


def _board(frame: Frame) -> list[str]:
    top = frame.top + TOP
    bottom = top + FRET_GAP * frame.window.rows
    first, last = frame.x(0), frame.x(frame.strings - 1)
    parts = [
        svg_line(first, top + FRET_GAP * row, last, top + FRET_GAP * row, 0.9)
        for row in range(frame.window.rows + 1)
    ]
    parts += [svg_line(frame.x(i), top, frame.x(i), bottom, 1.3) for i in range(frame.strings)]
    if frame.window.first == 1:  # the nut is in sight
        parts.append(svg_line(first, top - 1.2, last, top - 1.2, 3.6))
    elif frame.numbered:
        y = frame.y(frame.window.first) + 4.8
        away, anchor = (-1, "end") if first <= last else (1, "start")
        number = str(frame.window.first)
        size, gap = (14, 4) if len(number) == 1 else (10, 1.5)
        x = first + away * (DOT_RADIUS + gap)
        parts.append(svg_text(x, y, number, size, anchor=anchor))
    return parts


def _above(grip: Grip, frame: Frame) -> list[str]:
    parts = []
    for index, fret in enumerate(grip.frets):
        x, y, r = frame.x(index), frame.y(0), OPEN_RADIUS
        if fret == 0:
            parts.append(
                f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="none" '
                'stroke="currentColor" stroke-width="1.4"/>'
            )
        elif fret is None:
            parts.append(svg_line(x - r, y - r, x + r, y + r, 1.6))
            parts.append(svg_line(x - r, y + r, x + r, y - r, 1.6))
    return parts


def _fingers(grip: Grip, frame: Frame) -> list[str]:
    parts = []
    for press in grip.held.presses:
        y = frame.y(press.fret)
        if press.is_barre:
            x, x2 = frame.x(press.first), frame.x(press.last)
            parts.append(svg_line(x, y, x2, y, DOT_RADIUS))
    for index, fret in enumerate(grip.frets):
        if fret:
            x, y = frame.x(index), frame.y(fret)
            parts.append(f'<circle cx="{x:g}" cy="{y:g}" r="{DOT_RADIUS:g}"/>')
    return parts


def _numbers(grip: Grip, frame: Frame) -> list[str]:
    y = frame.top + frame.height - 4
    return [
        svg_text(frame.x(index), y, str(finger), 13)
        for index, finger in enumerate(grip.fingers)
        if finger
    ]
