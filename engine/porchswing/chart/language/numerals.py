"""Chords written as numbers: Roman (``ii7 V7 I``) or digits (``2m7 57 1``) in a key.

Conventions. Degrees count along the key's own scale; in a minor key ``bIII``, ``bVI`` and
``bVII`` mean the same as ``III``, ``VI`` and ``VII``, and ``#VI``, ``#VII`` are the raised ones,
so that both ways of writing minor keys read right. A small Roman numeral is a minor chord. A
caret only lifts the figure (``5^7`` is the dominant seventh); write ``maj7`` or ``Δ7`` for the
major one. After a slash a digit is the bass (``1/3``), a Roman numeral the chord this one
leads to (``V7/ii``). Common practice, no source.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

from porchswing.errors import ChordSymbolError
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, degree_between, simplified
from porchswing.theory.notes import Degree, NoteName, note_at
from porchswing.theory.qualities import FOLDED
from porchswing.theory.symbols import parse_chord

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")
_SMALL = ("minor", "half-diminished", "diminished")
_LONGEST_FIRST = ("VII", "III", "VI", "IV", "II", "V", "I")
_OWN_THIRD = ("dim", "Dim", "o", "h", "hdim", "min", "mi", "-", "aug", "+", "sus", "5")


def looks_numbered(text: str) -> bool:
    """Whether a token starts as a number chord does: signs, then a digit or a numeral."""
    rest = text.lstrip("b#♭♯")
    return rest[:1] in tuple("1234567") or rest[:1].upper() in ("I", "V")


def parse_numeral(text: str, key: Key) -> Chord:
    """Read one number chord in a key.

    >>> from porchswing.theory.keys import Key
    >>> [parse_numeral(word, Key.parse("F")).symbol for word in ("I", "vi7", "2m7", "5^7")]
    ['F', 'Dm7', 'Gm7', 'C7']
    """
    folded = text.replace("^", "").translate(FOLDED)
    head, slash, tail = folded.rpartition("/")
    if slash and head and tail.upper() in ROMAN:
        goal, _, _ = _root(tail, key)
        return _plain(head, Key(goal), text)
    if slash and head and tail.lstrip("b#") in tuple("1234567") and len(tail) <= 2:
        bass, _, _ = _root(tail, key)
        chord = _plain(head, key, text)
        return replace(chord, bass=bass if bass != chord.root else None)
    return _plain(folded, key, text)


def _plain(folded: str, key: Key, text: str) -> Chord:
    """Read a number chord without a slash of its own."""
    root, is_minor, end = _root(folded, key)
    suffix = folded[end:]
    bracketed = f"({suffix})" if suffix[:1] in ("b", "#") else suffix
    # a small numeral is minor unless its quality already says what its third is
    tries = [f"m{bracketed}", bracketed] if is_minor else [bracketed]
    if suffix.startswith(_OWN_THIRD) or (suffix[:1] == "m" and suffix[:2] not in ("ma", "mM")):
        tries = [bracketed]
    hints = []
    for quality in tries:
        try:
            return parse_chord(f"{root}{quality}")
        except ChordSymbolError as error:
            hints.append(error.hint)
    raise ChordSymbolError(f"unknown number chord {text!r}", hints[0], end)


def _root(folded: str, key: Key) -> tuple[NoteName, bool, int]:
    """Read signs and a degree; return its note, whether it is a small numeral, and its end."""
    start = len(folded) - len(folded.lstrip("b#"))
    alter = folded[:start].count("#") - folded[:start].count("b")
    rest = folded[start:]
    if rest[:1] in tuple("1234567") and rest:
        return _scale_note(int(rest[0]), alter, key), False, start + 1
    for numeral in _LONGEST_FIRST:
        if rest.startswith((numeral, numeral.lower())):
            note = _scale_note(ROMAN.index(numeral) + 1, alter, key)
            return note, rest.startswith(numeral.lower()), start + len(numeral)
    raise ChordSymbolError(
        f"a number chord starts with I to VII or 1 to 7, got {folded!r}", "for example ii7 or 2m7"
    )


def _scale_note(number: int, alter: int, key: Key) -> NoteName:
    """Return the note on a degree of the key's own scale, raised or lowered."""
    natural = degree_between(key.tonic, key.scale[number - 1])
    if alter == -1 and natural.alter == -1:
        alter = 0
    return simplified(note_at(key.tonic, Degree(number, natural.alter + alter)))


def write_numeral(chord: Chord, key: Key) -> str:
    """Write a chord as a Roman number chord in a key, or as letters where that is clearer.

    >>> write_numeral(parse_chord("Bb7/F"), Key.parse("F"))
    'IV7/1'
    """
    root = _written_degree(chord.root, key)
    bass = _written_degree(chord.bass, key) if chord.bass else None
    if root is None or (chord.bass and bass is None):
        return chord.symbol
    sign, number = root
    numeral, suffix = ROMAN[number - 1], chord.quality.suffix
    tail = f"/{bass[0]}{bass[1]}" if bass is not None else ""
    small = f"{sign}{numeral.lower()}{suffix.removeprefix('m')}{tail}"
    capital = f"{sign}{numeral}{suffix}{tail}"
    for text in (small, capital) if chord.quality.family in _SMALL else (capital,):
        with suppress(ChordSymbolError):  # it must read back as the chord
            if parse_numeral(text, key) == chord:
                return text
    return chord.symbol


def _written_degree(note: NoteName, key: Key) -> tuple[str, int] | None:
    """Return sign and number of a note in a key, where one sign is enough."""
    degree = degree_between(key.tonic, note)
    natural = degree_between(key.tonic, key.scale[degree.number - 1])
    alter = degree.alter - natural.alter
    return ({0: "", 1: "#", -1: "b"}[alter], degree.number) if abs(alter) <= 1 else None
