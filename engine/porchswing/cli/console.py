"""Printing on any console: signs it cannot show get a plain stand-in, and nothing crashes.

Windows consoles of Western Europe write cp1252 or cp850, old and remote ones plain ASCII. Names of
files may hold bytes that are no text.
"""

from __future__ import annotations

import codecs
import io
import sys
import unicodedata
from typing import TextIO

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
        if isinstance(stream, io.TextIOWrapper):
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
