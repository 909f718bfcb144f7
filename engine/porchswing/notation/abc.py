"""Preparing ABC tunes (the ABC standard 2.1) for music21.

music21 reads the texts of chord symbols unreliably (flats above all). So every distinct symbol
is replaced by a stand-in it reads for certain, and looked up again afterwards.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import product

from porchswing.chart.slots import SILENCE
from porchswing.errors import ChordSymbolError
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord

STAND_INS: tuple[str, ...] = tuple(
    f"{root}{kind}{bass}"
    for root, kind, bass in product(
        "CDEFGAB", ("", "m", "7", "maj7", "m7"), ("", *(f"/{letter}" for letter in "CDEFGAB"))
    )
    if bass != f"/{root}"
)
"""Figures that music21 gives back exactly as it got them."""

_FIELD = re.compile(r"[A-Za-z+]:")
_QUOTED = re.compile(r'"([^"]{0,80})"')
_DOUBLED = re.compile(r'("[^"]{0,80}"\s{0,4})(?:"[^"]{0,80}"\s{0,4})+')
_ABOVE = ("^", "_", "<", ">", "@")


@dataclass(frozen=True, slots=True)
class PreparedTune:
    """An ABC tune with stand-ins for its chords, and what they stand for (``None``: N.C.)."""

    text: str
    chords: dict[str, Chord | None]
    left_out: tuple[str, ...]


def prepare_abc(text: str) -> PreparedTune:
    """Return the first tune of an ABC text, its chord symbols replaced by stand-ins."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    starts = [number for number, line in enumerate(lines) if line.startswith("X:")]
    left_out: list[str] = []
    if len(starts) > 1:
        lines = lines[: starts[1]]
        left_out.append(f"the file has {len(starts)} tunes; the first was taken")
    known: dict[str, str] = {}
    chords: dict[str, Chord | None] = {}
    unread: dict[str, None] = {}

    def replaced(match: re.Match[str]) -> str:
        symbol = match[1].strip()
        if symbol.startswith(_ABOVE) or not symbol:
            return ""
        if symbol not in known:
            try:
                chord = None if symbol.upper() in SILENCE else parse_chord(symbol)
            except ChordSymbolError:
                unread[symbol] = None
                return ""
            if len(known) >= len(STAND_INS):
                unread[symbol] = None
                return ""
            known[symbol] = STAND_INS[len(known)]
            chords[known[symbol]] = chord
        return f'"{known[symbol]}"'

    out: list[str] = []
    for line in lines:
        if _FIELD.match(line) or line.startswith("%"):
            out.append(line)
            continue
        cleaned = _QUOTED.sub(replaced, line)
        single = _DOUBLED.sub(r"\1", cleaned)
        if single != cleaned:
            left_out.append("where a note has several chord symbols, the first was taken")
        out.append(single)
    left_out.extend(f"the text {symbol!r} is no chord symbol" for symbol in unread)
    return PreparedTune("\n".join(out) + "\n", chords, tuple(dict.fromkeys(left_out)))
