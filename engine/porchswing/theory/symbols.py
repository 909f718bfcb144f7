"""Reading a chord symbol as charts print it into a spelled :class:`Chord`.

A symbol is a root, a row of :mod:`porchswing.theory.qualities` in any of its spellings,
alterations (in brackets or not, with commas or not) and perhaps a slash bass. The letter
right after a root's ``b`` or ``#`` signs starts the quality, so ``Cb5`` is a C flat with a
fifth; write ``C(b5)`` for the other.
"""

from __future__ import annotations

from porchswing.errors import ChordSymbolError, check_types, near_word
from porchswing.theory.chords import Chord, Quality
from porchswing.theory.notes import LETTERS, Degree, NoteName, in_english
from porchswing.theory.qualities import (
    FOLDED,
    QUALITIES,
    alterations,
    altered,
    quality_of,
    spellings,
)

MAX_SYMBOL_CHARACTERS = 40
"""Longest chord symbol that is read; the longest sensible one has about 20 characters."""

_SIGNS = "b#"
_SEPARATORS = "(),"
_DOTS_AND_DASHES = frozenset([".", "-", "–", "—", "_", "·"])
_QUALITY_WORDS = ("dom7", "dim", "aug", "maj", "min", "sus", "add")
"""Words that begin with a small letter of a root and are none."""


def parse_chord(text: str) -> Chord:
    """Return the chord that a symbol names, unicode or ASCII, its spelling kept.

    Parameters
    ----------
    text
        A symbol such as ``Bb7``, ``F♯°7``, ``C7(b9,#5)`` or ``F/C``.

    Returns
    -------
    Chord
        Root, quality and slash bass, spelled as written.

    Raises
    ------
    ChordSymbolError
        Where it cannot be read, with the offset of the trouble and the nearest spelling.

    Examples
    --------
    >>> [str(note) for note in parse_chord("Bb7").notes]
    ['Bb', 'D', 'F', 'Ab']
    >>> parse_chord("C–7♭5").symbol
    'Cm7b5'
    """
    check_types(text=(text, str))
    if len(text) > MAX_SYMBOL_CHARACTERS:
        raise ChordSymbolError(
            f"a chord symbol has at most {MAX_SYMBOL_CHARACTERS} characters, got {len(text)}"
        )
    try:
        return _parse(text)
    except ChordSymbolError as error:
        meant = in_english(text)
        if not meant or not _reads(meant):
            raise
        hint = f"did you mean {meant}? Charts use the letters C D E F G A B"
        raise ChordSymbolError(error.message, hint, error.offset) from None


def _reads(text: str) -> bool:
    try:
        _parse(text)
    except ChordSymbolError:
        return False
    return True


def _parse(text: str) -> Chord:
    """Read a symbol of at most the allowed length."""
    folded = text.replace("𝄫", "bb").replace("𝄪", "##").translate(FOLDED)
    root, start = _read_note(folded, 0, text)
    end, bass = _read_bass(folded, start, text)
    return Chord(
        root, _read_quality(folded[start:end], start, text), bass if bass != root else None
    )


def parse_quality(text: str) -> Quality:
    """Return the quality named by what follows a root, such as ``-7b5``; "" is the major triad.

    >>> parse_quality("ø").suffix
    'm7b5'
    """
    return parse_chord("C" + (f"({text})" if text[:1] in ("b", "#", "♭", "♯") else text)).quality


def _read_note(folded: str, start: int, text: str) -> tuple[NoteName, int]:
    """Read a letter and its signs; return the note and where it ends."""
    letter = folded[start : start + 1]
    if letter not in LETTERS or not letter:
        raise ChordSymbolError(
            f"a chord starts with a letter A to G, got {text!r}", _root_hint(folded), start
        )
    end = start + 1
    while end < len(folded) and folded[end] in _SIGNS and end - start <= 2:
        end += 1
    return NoteName.parse(folded[start:end]), end


def _root_hint(folded: str) -> str:
    """Return a hint for a wrong first letter."""
    first, rest = folded[:1], folded[1:]
    rules = (
        (first == "H", f"the German H is B here: B{rest}"),
        (first == "(", "write the chord without the outer brackets"),
        (
            first == "x" and rest.isdigit(),
            f"bars are repeated by |: and :|{folded}, sections in form:",
        ),
        (
            folded in _DOTS_AND_DASHES,
            "a further beat of the chord before is /, silence N.C., the sign between bars |",
        ),
        (
            folded.startswith(_QUALITY_WORDS),
            "a quality stands at its root without a space, for example "
            f"C{folded.removeprefix('dom')}",
        ),
        (
            first.upper() in tuple(LETTERS),
            f"write the root with a capital: {first.upper()}{rest}",
        ),
        (True, "for silence write N.C., to repeat the bar before write %"),
    )
    return next(hint for applies, hint in rules if applies)


def _read_bass(folded: str, start: int, text: str) -> tuple[int, NoteName | None]:
    """Find a slash bass; return where the quality ends, and the bass."""
    slash = folded.rfind("/", start)
    first = folded[slash + 1 : slash + 2]
    if slash < 0 or first.isdigit() or first in tuple(_SIGNS):  # as in C6/9, C7/b9
        return len(folded), None
    if folded[slash + 1 : slash + 2] not in tuple(LETTERS):
        if folded[slash + 1 :] in spellings() and folded[slash + 1 :]:
            return len(folded), None
        raise ChordSymbolError(
            f"after / comes the bass note, a letter A to G, in {text!r}",
            f"for example {folded[:slash]}/G",
            slash + 1,
        )
    bass, end = _read_note(folded, slash + 1, text)
    if end != len(folded):
        raise ChordSymbolError(
            f"after the bass note {bass} nothing may follow, got {text[end:]!r} in {text!r}",
            "the quality goes before the slash: Am7/G",
            end,
        )
    return slash, bass


def _read_quality(suffix: str, offset: int, text: str) -> Quality:
    """Read a row in its longest spelling, then alterations to the end."""
    _check_brackets(suffix, offset, text)
    rows = spellings()
    longest = max((n for n in range(len(suffix) + 1) if suffix[:n] in rows), default=0)
    # a shorter row may leave a tail that can be read where the longest does not
    problem: ChordSymbolError | None = None
    for length in range(longest, -1, -1):
        row = rows.get(suffix[:length])
        if row is None:
            continue
        try:
            steps = _read_alterations(suffix, length, offset, text)
        except ChordSymbolError as error:
            problem = problem or error
            continue
        degrees = frozenset(row.degrees)
        for deed, degree in steps:
            degrees = altered(degrees, deed, degree)
        try:
            return quality_of(degrees) if steps else row
        except ValueError:
            message = f"the alterations of {text!r} do not go together"
            raise ChordSymbolError(message, "write fewer of them", offset + length) from None
    raise problem or ChordSymbolError(f"unknown chord {text!r}", _nearest(suffix, text), offset)


def _read_alterations(suffix: str, start: int, offset: int, text: str) -> list[tuple[str, Degree]]:
    """Read alterations from ``start`` on; the longest spelling wins."""
    known = alterations()
    found: list[tuple[str, Degree]] = []
    while start < len(suffix):
        if suffix[start] in _SEPARATORS or (suffix[start] == "/" and start + 1 < len(suffix)):
            start += 1
            continue
        for length in range(min(6, len(suffix) - start), 0, -1):
            step = known.get(suffix[start : start + length])
            if step is not None:
                found.append(step)
                start += length
                break
        else:
            raise ChordSymbolError(
                f"unknown chord {text!r}: cannot read {text[offset + start :]!r}",
                _nearest(suffix, text),
                offset + start,
            )
    return found


def _check_brackets(suffix: str, offset: int, text: str) -> None:
    """Raise unless brackets pair up and do not nest."""
    depth = 0
    for place, sign in enumerate(suffix):
        depth += (sign == "(") - (sign == ")")
        if depth not in (0, 1):
            raise ChordSymbolError(
                f"the brackets of {text!r} do not pair up", "for example C7(b9,#5)", offset + place
            )
    if depth:
        raise ChordSymbolError(
            f"a bracket of {text!r} is not closed", f"write {text})", offset + suffix.rfind("(")
        )


def _nearest(suffix: str, text: str) -> str:
    """Return a hint: the known spelling nearest to a suffix."""
    near = near_word(suffix.replace("sharp", "#").replace("flat", "b"), QUALITIES, 0.4)
    root = text[: len(text) - len(suffix)] if text.endswith(suffix) else text[:1]
    if (bracket := text.find("[")) > 0 and text.endswith("]"):
        return f"playing marks stand in braces: {text[:bracket]}{{{text[bracket + 1 : -1]}}}"
    return f"did you mean {root}{near}?" if near else "see: porchswing list chords"
