"""Texts as a terminal shows them: a little colour, and flats and sharps in one way.

In a pipe a text stays as it is, so that what is scripted does not change with the terminal.
``NO_COLOR`` (no-color.org) and ``TERM=dumb`` switch the colour off. Signs follow the option
``--signs``: ``letters`` are b and #, ``print`` is ♭ and ♯; ``auto`` prints where the terminal's
encoding has them.
"""

from __future__ import annotations

import os
import re
import sys
from typing import Any

import click

SIGNS = ("auto", "letters", "print")
_META = "porchswing.signs"

_QUALITY = "m|maj|mMaj|dim|dimMaj|aug|add|madd|sus|alt"
_ROOT = re.compile(rf"(?<![A-Za-z])([A-G])(bb?|##?)(?=(?:{_QUALITY})?(?:[^A-Za-z]|$)|mb\d)")
_DEGREE = re.compile(r"(?<=[\d(,/m])[b#](?=\d)|(?<![A-Za-z])[b#](?=[IViv\d])")
_PRINTED = str.maketrans({"b": "♭", "#": "♯"})
_TYPED = str.maketrans({"♭": "b", "♯": "#"})

STYLES: tuple[tuple[re.Pattern[str], dict[str, Any]], ...] = (
    (re.compile(r"\[[^\]\n]+\]"), {"bold": True, "fg": "yellow"}),  # a section's name
    (re.compile(r" *\^+"), {"fg": "red", "bold": True}),  # a caret under a mistake
    (re.compile(r" *swing \|.*"), {"bold": True}),
    (re.compile(r"(?:hardest changes|the moves:|the line [^:]*:).*"), {"bold": True}),
)
"""What a whole line must match, and how it is shown; the first match counts."""


def set_signs(context: click.Context, way: str) -> None:
    """Remember how this run shows flats and sharps."""
    context.meta[_META] = way


def show(text: str, *, err: bool = False) -> None:
    """Print a text, dressed where it goes to a terminal."""
    stream = sys.stderr if err else sys.stdout
    way = _way(stream)
    is_terminal = stream.isatty()
    if way == "print":
        text = with_print_signs(text)
    elif way == "letters":
        text = text.translate(_TYPED)
    if is_terminal and has_colour():
        text = "\n".join(_painted(line) for line in text.split("\n"))
    click.echo(text, err=err)


def has_colour() -> bool:
    """Whether colour is welcome on this terminal."""
    return not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def with_print_signs(text: str) -> str:
    """Return a text with ♭ and ♯ in its chords, notes and degrees, its words untouched.

    >>> with_print_signs("Bb7b9 to F#m7b5 in Eb, bars 3-4, #iv°7; Abby's Bb")
    "B♭7♭9 to F♯m7♭5 in E♭, bars 3-4, ♯iv°7; Abby's B♭"
    """
    text = _ROOT.sub(lambda found: found[1] + found[2].translate(_PRINTED), text)
    return _DEGREE.sub(lambda found: found[0].translate(_PRINTED), text)


def _way(stream: Any) -> str:
    context = click.get_current_context(silent=True)
    way = str(context.meta.get(_META, "auto")) if context is not None else "auto"
    if way != "auto":
        return way
    encoding = (getattr(stream, "encoding", "") or "").lower().replace("-", "")
    return "print" if stream.isatty() and encoding == "utf8" else "as it is"


def _painted(line: str) -> str:
    for pattern, style in STYLES:
        if pattern.fullmatch(line):
            return click.style(line, **style)
    return line
