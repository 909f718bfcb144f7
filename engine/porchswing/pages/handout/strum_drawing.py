"""One bar of a strum drawn: arrows over a counted beat line.

An arrow points where the hand goes; its length and weight are its loudness. A cross is a damped
stroke, an empty arrow one that barely touches, waves a roll or a tremolo, dots are strings
picked by themselves. Black on white, nothing is shown by colour alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from porchswing.chart.model import Meter
from porchswing.rhythm.strum import StrumBar, StrumCell

BEAT_WIDTH, HEIGHT = 46.0, 58.0
LINE_Y, TOP_Y = 40.0, 4.0
LEFT = 10.0
"""Drawing units; a bar of four is 194 by 58."""

LOUD, WEAK = 0.7, 0.45
"""A stroke as loud as this is accented; a weaker one than the second is drawn short."""


def strum_svg(bar: StrumBar, meter: Meter, *, ink: str = "#000", behind: Sequence[str] = ()) -> str:
    """Return one bar of a pattern as an SVG element; ``behind`` are parts drawn under it."""
    width = LEFT * 2 + BEAT_WIDTH * float(meter.bar_beats)
    strokes = (part for cell in bar.cells for part in _cell_parts(cell, place_x(cell.at)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {HEIGHT:g}" '
        f'fill="{ink}" color="{ink}" stroke="none" font-family="Libertinus Serif">'
        + "".join((*behind, *_beat_line(meter, width), *strokes))
        + "</svg>"
    )


def place_x(at: Fraction) -> float:
    """Return the x of a moment of the bar, ``at`` quarter beats into it."""
    return LEFT + BEAT_WIDTH * float(at)


def felt_beats(meter: Meter) -> tuple[Fraction, ...]:
    """Return where the felt beats of a bar are, in quarter beats.

    >>> [str(beat) for beat in felt_beats(Meter(6, 8))]
    ['0', '3/2']
    """
    count = int(meter.bar_beats / meter.click_beats)
    return tuple(meter.click_beats * number for number in range(count))


def strum_words(bars: Sequence[StrumBar]) -> str:
    """Return what the signs in some bars mean, those that are there and no others."""
    cells = [cell for bar in bars for cell in bar.cells]
    kinds = {cell.kind for cell in cells}
    found = ["arrows point where the hand goes, long ones are louder"]
    found += [words for kind, words in KIND_WORDS.items() if kind in kinds]
    signs = {
        "a wedge: accent": any(cell.loudness >= LOUD for cell in cells),
        "a dot below: short": any(cell.is_short for cell in cells),
        "a hook: the next chord already": any(cell.is_ahead for cell in cells),
        "in brackets: only when it may be busy": any(cell.is_filler for cell in cells),
    }
    found += [words for words, is_there in signs.items() if is_there]
    return "; ".join(found) + "."


KIND_WORDS = {
    "chuck": "a cross: damped",
    "ghost": "a hollow head: barely touched",
    "roll": "waves: rolled string by string",
    "tremolo": "a zigzag: tremolo",
    "pinch": "dots: the strings of that number, picked",
    "rest": "a square: stop the sound",
}


def _beat_line(meter: Meter, width: float) -> list[str]:
    unit = meter.unit_beats
    parts = [_stroke(LEFT - 6, LINE_Y, width - LEFT + 6, LINE_Y, 1)]
    felt = felt_beats(meter)
    for number in range(meter.count):
        x = LEFT + BEAT_WIDTH * float(number * unit)
        is_felt = number * unit in felt
        parts.append(_stroke(x, LINE_Y, x, LINE_Y + (5 if is_felt else 3), 1))
        parts.append(_text(x, HEIGHT - 2, str(number + 1), 11, "bold" if is_felt else "normal"))
        if not meter.is_compound and unit == 1:
            parts.append(_text(x + BEAT_WIDTH / 2, HEIGHT - 2, "&amp;", 9))
    return parts


def _cell_parts(cell: StrumCell, x: float) -> list[str]:
    if cell.kind == "rest":
        return [f'<rect x="{x - 3:g}" y="{LINE_Y - 9:g}" width="6" height="6"/>']
    top = TOP_Y + (14 if cell.loudness < WEAK else 6 if cell.loudness < LOUD else 2)
    weight = 2.4 if cell.loudness >= LOUD else 1.8 if cell.loudness >= WEAK else 1.2
    is_pinch = cell.kind == "pinch"
    wedge = _path(f"M{x + 5:g} {top:g}l6 2.5l-6 2.5", 1.2)
    dot = f'<circle cx="{x + 6:g}" cy="{LINE_Y - 4:g}" r="1.4"/>'
    hook = _path(f"M{x + 4:g} {top + 8:g}q8 -2 12 6", 1.2)
    brackets = _text(x - 8, LINE_Y - 8, "(", 18) + _text(x + 8, LINE_Y - 8, ")", 18)
    strings = _text(x + 9, LINE_Y - 5, "".join(map(str, cell.strings)), 8)
    signs = (
        (wedge, cell.loudness >= LOUD and not is_pinch),
        (dot, cell.is_short),
        (hook, cell.is_ahead),
        (brackets, cell.is_filler),
        (strings, bool(cell.strings) and not is_pinch),
    )
    return [*_sign_parts(cell, x, top, weight), *(sign for sign, is_there in signs if is_there)]


def _sign_parts(cell: StrumCell, x: float, top: float, weight: float) -> list[str]:
    foot = LINE_Y - 3
    if cell.kind == "pinch":
        return [
            _text(x, foot - 9 * place, str(string), 10, "bold")
            for place, string in enumerate(cell.strings)
        ]
    if cell.kind == "chuck":
        y = foot - 8
        return [_path(f"M{x - 5:g} {y - 5:g}l10 10M{x + 5:g} {y - 5:g}l-10 10", 2)]
    start, end = (top, foot) if cell.direction == "down" else (foot, top)
    away = 1 if cell.direction == "down" else -1
    hollow = ' fill="#fff" stroke="currentColor" stroke-width="1"' if cell.kind == "ghost" else ""
    head = f'<path d="M{x:g} {end:g}l-4.5 {-8 * away:g}l9 0z"{hollow}/>'
    return [_shaft(cell.kind, x, start, end - 7 * away, weight), head]


def _shaft(kind: str, x: float, start: float, end: float, weight: float) -> str:
    if kind not in ("roll", "tremolo"):
        return _stroke(x, start, x, end, 1 if kind == "ghost" else weight)
    steps = 4
    length = (end - start) / steps
    bend = "q3 {0:g} 0 {1:g}q-3 {0:g} 0 {1:g}" if kind == "roll" else "l4 {0:g}l-4 {0:g}"
    size = (length / 4, length / 2) if kind == "roll" else (length / 2,)
    return _path(f"M{x:g} {start:g}" + bend.format(*size) * steps, 1.4)


def _stroke(x: float, y: float, x2: float, y2: float, width: float) -> str:
    return (
        f'<line x1="{x:g}" y1="{y:g}" x2="{x2:g}" y2="{y2:g}" stroke="currentColor" '
        f'stroke-width="{width:g}"/>'
    )


def _path(data: str, width: float) -> str:
    return f'<path d="{data}" fill="none" stroke="currentColor" stroke-width="{width:g}"/>'


def _text(x: float, y: float, text: str, size: float, weight: str = "normal") -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" font-weight="{weight}" '
        f'text-anchor="middle">{text}</text>'
    )
