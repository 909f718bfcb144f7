"""One word of a bar: a chord with its grip lock and its playing marks."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction

from porchswing.chart.language.numerals import looks_numbered, parse_numeral, write_numeral
from porchswing.chart.language.problems import TextError, nearest
from porchswing.chart.limits import MAX_FRET, MAX_STRINGS, MIN_STRINGS
from porchswing.chart.model import MARKS, Frets, Slot
from porchswing.errors import ChordSymbolError
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord

SILENCE = ("N.C.", "NC", "N.C", "n.c.")
"""Ways to write silence; the first is the canonical one."""

_FRET = r"x|X|[0-9]{1,2}"


def read_slot(text: str, key: Key | None) -> Slot:
    """Read a word such as ``C9@9-10-10-10{slide}``; its length is not known yet.

    ``key`` is given where the chart may write chords as numbers.
    """
    body, marks = _split_marks(text)
    symbol, at, frets = body.partition("@")
    frets, colon, held = frets.partition(":")
    lock = read_lock(frets, len(symbol) + 1) if at else None
    fingers = read_fingers(held, lock, len(symbol + at + frets) + 1) if colon and lock else ()
    if symbol in SILENCE:
        if lock is not None:
            raise TextError("silence has no grip", "leave the @ out", len(symbol), len(at + frets))
        return Slot(None, Fraction(0), None, marks, symbol)
    if not symbol:
        raise TextError("@ and { must follow a chord", "for example C9@3435{slide}", 0, len(text))
    return Slot(read_symbol(symbol, key), Fraction(0), lock, marks, symbol, fingers=fingers)


def read_symbol(symbol: str, key: Key | None) -> Chord:
    """Read a chord symbol, or a number chord where ``key`` is given."""
    try:
        if key is not None and looks_numbered(symbol):
            return parse_numeral(symbol, key)
        return parse_chord(symbol)
    except ChordSymbolError as error:
        hint = error.hint
        if key is None and looks_numbered(symbol):
            hint = "for chords as numbers add the header line numbers: yes"
        raise TextError(
            error.message, hint, error.offset, width=max(1, len(symbol) - error.offset)
        ) from None


def _split_marks(text: str) -> tuple[str, tuple[str, ...]]:
    """Split off the marks in braces."""
    body, brace, rest = text.partition("{")
    if not brace:
        if "}" in text:
            raise TextError("} without {", "playing marks look like {slide}", text.index("}"))
        return text, ()
    if not rest.endswith("}") or "{" in rest or rest.count("}") != 1:
        raise TextError(
            "playing marks must be in one pair of braces",
            "for example {slide,roll}, at the end of the chord",
            len(body),
            len(text) - len(body),
        )
    marks: list[str] = []
    offset = len(body) + 1
    for piece in rest[:-1].split(","):
        mark = piece.strip()
        if mark not in MARKS:
            raise TextError(
                f"unknown playing mark {mark!r}",
                nearest(mark, MARKS),
                offset + len(piece) - len(piece.lstrip()),
                max(1, len(mark)),
            )
        marks.append(mark)
        offset += len(piece) + 1
    return body, tuple(dict.fromkeys(marks))


def read_lock(text: str, offset: int = 0) -> Frets:
    """Read the frets of a grip lock: ``9-10-10-10``, ``3435`` or ``x232``.

    >>> read_lock("9-10-10-10")
    (9, 10, 10, 10)
    """
    pieces = text.split("-") if "-" in text else list(text)
    frets: list[int | None] = []
    place = offset
    for piece in pieces:
        if not re.fullmatch(_FRET, piece):
            raise TextError(
                f"a grip is frets or x, got {piece!r}",
                "for example @3435 or @9-10-10-10",
                place,
                max(1, len(piece)),
            )
        fret = None if piece in "xX" else int(piece)
        if fret is not None and fret > MAX_FRET:
            raise TextError(f"frets go up to {MAX_FRET}, got {fret}", "", place, len(piece))
        frets.append(fret)
        place += len(piece) + ("-" in text)
    if not MIN_STRINGS <= len(frets) <= MAX_STRINGS:
        raise TextError(
            f"a grip has a fret for each string, {MIN_STRINGS} to {MAX_STRINGS}, got {len(frets)}",
            "for example @3435 or @9-10-10-10",
            offset,
            max(1, len(text)),
        )
    if all(fret is None for fret in frets):
        raise TextError(
            "a grip that mutes every string is silence", "write N.C.", offset, len(text)
        )
    return tuple(frets)


def read_fingers(text: str, lock: Frets, offset: int = 0) -> tuple[int, ...]:
    """Read the fingers of a locked grip, one a string, 0 for none.

    >>> read_fingers("1324", (3, 5, 3, 5))
    (1, 3, 2, 4)
    """
    fits = len(text) == len(lock) and all(
        sign in "01234" and (sign != "0") == bool(fret)
        for sign, fret in zip(text, lock, strict=True)
    )
    if not fits:
        raise TextError(
            f"fingers are one a string, 1 to 4, 0 where none presses, got {text!r}",
            "for example @3535:1324",
            offset,
            max(1, len(text)),
        )
    return tuple(int(sign) for sign in text)


def write_lock(frets: Frets) -> str:
    """Write frets with a dash between them where one has two digits."""
    marks = ["x" if fret is None else str(fret) for fret in frets]
    return ("-" if any(len(mark) > 1 for mark in marks) else "").join(marks)


def write_slot(slot: Slot, key: Key, numbers: bool) -> str:
    """Write a slot; the chord as it was typed where it still says the same."""
    text = _written_symbol(slot, key, numbers)
    if slot.lock is not None:
        text += "@" + write_lock(slot.lock)
        if slot.fingers:
            text += ":" + "".join(map(str, slot.fingers))
    if slot.marks:
        text += "{" + ",".join(slot.marks) + "}"
    return text


def _written_symbol(slot: Slot, key: Key, numbers: bool) -> str:
    if slot.chord is None:
        return slot.written if slot.written in SILENCE else SILENCE[0]
    with suppress(TextError):
        if slot.written and read_symbol(slot.written, key if numbers else None) == slot.chord:
            return slot.written
    return write_numeral(slot.chord, key) if numbers else slot.chord.symbol
