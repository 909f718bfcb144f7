"""Texts as a terminal shows them: a little colour, flats and sharps in one way, and no crash.

In a pipe a text stays as it is, so that what is scripted does not change with the terminal.
``NO_COLOR`` (no-color.org) and ``TERM=dumb`` switch the colour off. Signs follow the option
``--signs``: ``letters`` are b and #, ``print`` is ♭ and ♯; ``auto`` prints where the terminal's
encoding has them.

Windows consoles of Western Europe write cp1252 or cp850, old and remote ones plain ASCII, and names
of files may hold bytes that are no text: signs that cannot be shown get a plain stand-in.
"""

from __future__ import annotations

import codecs
import io
import os
import re
import sys
import unicodedata
from typing import Any, TextIO

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
    has_colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    if is_terminal and has_colour:
        text = "\n".join(_painted(line) for line in text.split("\n"))
    click.echo(text, err=err)


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


STAND_INS = {
    "♭": "b", "♯": "#", "♮": "", "𝄪": "x", "𝄫": "bb", "Δ": "maj7", "ø": "m7b5", "°": "o",
    "│": "|", "┃": "|", "─": "-", "━": "-", "┄": "-", "●": "o", "○": "o", "◆": "*",
    "┼": "+", "┿": "+", "├": "+", "┤": "+",
    "┌": "+", "┐": "+", "└": "+", "┘": "+", "╒": "+", "╕": "+", "╤": "+", "═": "=", "█": "#",
    "→": "->", "←": "<-", "↑": "^", "↓": "v", "…": "...", "–": "-", "—": "-", "−": "-", "×": "x",
    "‘": "'", "’": "'", "“": '"', "”": '"', "·": ".", "≤": "<=", "≥": ">=", "½": "1/2",
    "\N{NO-BREAK SPACE}": " ", "é": "e",
}  # fmt: skip
"""What is printed for a sign that a console's encoding lacks; any other is a question mark."""

_ERRORS = "porchswing"
_ASCII = "porchswing_ascii"


def prepare_console() -> None:
    """Let the standard streams print everything, with stand-ins where their encoding needs them."""
    codecs.register_error(_ERRORS, _stand_in)
    codecs.register(_find_codec)
    for stream in (sys.stdout, sys.stderr):
        prepare_stream(stream)


def prepare_stream(stream: TextIO) -> None:
    """Let one stream print everything; UTF-8 lacks no sign but bytes that are no text."""
    if not isinstance(stream, io.TextIOWrapper):
        return
    # click rewraps a stream that says it is ASCII as UTF-8: ours is ASCII by another name
    is_ascii = codecs.lookup(stream.encoding).name == "ascii"
    stream.reconfigure(encoding=_ASCII if is_ascii else None, errors=_ERRORS)


def _stand_in(error: UnicodeError) -> tuple[str, int]:
    """Return what is printed for signs that cannot be encoded, and where to go on."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    shown = []
    for sign in error.object[error.start : error.end]:
        plain = STAND_INS.get(sign) or unicodedata.normalize("NFD", sign)[:1]
        try:
            plain.encode(error.encoding.removeprefix("porchswing_"))
        except UnicodeEncodeError:
            plain = "?"
        shown.append(plain)
    return "".join(shown), error.end


def _find_codec(name: str) -> codecs.CodecInfo | None:
    if name != _ASCII:
        return None
    ascii_codec = codecs.lookup("ascii")
    return codecs.CodecInfo(
        ascii_codec.encode,
        ascii_codec.decode,
        ascii_codec.streamreader,
        ascii_codec.streamwriter,
        ascii_codec.incrementalencoder,
        ascii_codec.incrementaldecoder,
        name=_ASCII,
    )
