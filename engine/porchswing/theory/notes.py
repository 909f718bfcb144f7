"""Spelled note names and degrees: letter and accidental are kept, never only a pitch class.

A :class:`NoteName` is a letter ``A`` to ``G`` with an alteration in semitones; a
:class:`Degree` is a chord or scale function such as ``b7`` or ``#9``, counted from a root
as in the major scale. Flats are written ``b`` and sharps ``#`` in ASCII output. German and
solfège names are put into English letters.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from porchswing.errors import OptionError

LETTERS = "CDEFGAB"
_LETTER_PC = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_ACCIDENTALS = {"b": -1, "♭": -1, "#": 1, "♯": 1, "𝄫": -2, "𝄪": 2}


@dataclass(frozen=True, slots=True)
class NoteName:
    """A spelled pitch class: ``letter`` is ``A``–``G``, ``alter`` semitones (flat below 0)."""

    letter: str
    alter: int = 0

    @property
    def pc(self) -> int:
        """Pitch class, 0 = C to 11 = B."""
        return (_LETTER_PC[self.letter] + self.alter) % 12

    def __str__(self) -> str:
        """Return the ASCII spelling, for example ``Bb`` or ``F#``."""
        return self.letter + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)

    @classmethod
    def parse(cls, text: str) -> NoteName:
        """Return the note a text names: ``C``, ``Bb``, ``F♯``.

        Raises
        ------
        OptionError
            Where it is no letter A to G followed by sharps or flats.

        Examples
        --------
        >>> NoteName.parse("Bb").pc
        10
        """
        letter, alter = text[:1], 0
        if letter not in _LETTER_PC:
            raise OptionError(f"a note name starts with a letter A to G, got {text!r}")
        for mark in text[1:]:
            if mark not in _ACCIDENTALS:
                raise OptionError(f"a note name ends in # or b, got {text!r}")
            alter += _ACCIDENTALS[mark]
        return cls(letter, alter)


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A function counted as in the major scale: ``number`` 1–13, ``alter`` semitones."""

    number: int
    alter: int = 0

    @property
    def semitones(self) -> int:
        """Distance above the root in semitones, 0 to 21 (a ninth is 14)."""
        octave, step = divmod(self.number - 1, 7)
        return 12 * octave + _MAJOR_SEMITONES[step] + self.alter

    @property
    def pc(self) -> int:
        """Distance above the root modulo the octave, 0 to 11."""
        return self.semitones % 12

    def __str__(self) -> str:
        """Return the degree as musicians write it, for example ``b7``, ``3`` or ``#9``."""
        return ("#" * self.alter if self.alter > 0 else "b" * -self.alter) + str(self.number)

    @classmethod
    def parse(cls, text: str) -> Degree:
        """Return the degree a text names: ``b7``, ``3``, ``#11``.

        >>> Degree.parse("b7").semitones
        10
        """
        digits = text.lstrip("b#♭♯")
        alter = sum(_ACCIDENTALS[mark] for mark in text[: len(text) - len(digits)])
        return cls(int(digits), alter)


def formula(text: str) -> tuple[Degree, ...]:
    """Return the degrees of a formula such as ``1 3 5 b7``."""
    return tuple(map(Degree.parse, text.split()))


def note_at(root: NoteName, degree: Degree) -> NoteName:
    """Return the correctly spelled note at ``degree`` above ``root``.

    >>> str(note_at(NoteName.parse("Bb"), Degree.parse("3")))
    'D'
    >>> str(note_at(NoteName.parse("F#"), Degree.parse("bb7")))
    'Eb'
    """
    letter = LETTERS[(LETTERS.index(root.letter) + degree.number - 1) % 7]
    alter = (root.pc + degree.semitones - _LETTER_PC[letter] + 6) % 12 - 6
    return NoteName(letter, alter)


_FLAT = r"(?<=[A-G])b|(?<=[A-G]b)b|b(?=\d)"


def with_signs(text: str) -> str:
    """Return a chord symbol or a note name with the musical signs of print.

    >>> with_signs("Bb7b9/F#")
    'B♭7♭9/F♯'
    >>> with_signs("Ebb")
    'E♭♭'
    """
    return re.sub(_FLAT, "♭", text).replace("#", "♯")


# --- names in other languages --------------------------------------------------------------

_GERMAN = re.compile(r"([A-Ha-h])(is|es|s)(?!us)(.*)", re.DOTALL)
_SOLFEGE = re.compile(r"(do|r[ée]|mi|fa|sol|la|si)([b#♭♯]?)(.*)", re.DOTALL | re.IGNORECASE)
_SOLFEGE_LETTERS = {
    "do": "C", "ré": "D", "re": "D", "mi": "E", "fa": "F", "sol": "G", "la": "A", "si": "B"
}  # fmt: skip
_SHORT = ("A", "E")
"""Letters that German lowers by a mere s."""


def in_english(text: str) -> str:
    """Return a symbol in English letters; empty where it is neither German nor solfège.

    German: *is* raises and *es* lowers a letter (*As* and *Es* are short), *H* is B, a small letter
    is minor. Solfège: do ré mi fa sol la si. A German *B* and *Do* (also D diminished) stay as they
    are: they name other chords here. So does *dom7* in small letters, the dominant seventh in
    English.

    >>> in_english("Es7"), in_english("Cism7"), in_english("fis"), in_english("Rém")
    ('Eb7', 'C#m7', 'F#m', 'Dm')
    """
    if match := _GERMAN.fullmatch(text):
        letter, ending, rest = match.groups()
        if ending != "s" or letter.upper() in _SHORT:
            root = "B" if letter.upper() == "H" else letter.upper()
            minor = "m" if letter.islower() else ""
            return f"{root}{'#' if ending == 'is' else 'b'}{minor}{rest}"
    if (match := _SOLFEGE.fullmatch(text)) and not text.startswith("dom"):
        return f"{_SOLFEGE_LETTERS[match[1].lower()]}{match[2]}{match[3]}"
    return ""
