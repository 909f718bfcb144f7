"""Keys: a tonic and a mode, their signature and scale, and how pitches are spelled in them.

Signatures reach from seven flats to seven sharps, so there are 15 major and 15 minor keys,
24 to the ear. Source for signatures: the circle of fifths, as in any harmony handbook.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from porchswing.errors import OptionError, check_types
from porchswing.theory.chords import Chord
from porchswing.theory.notes import LETTERS, Degree, NoteName, formula, in_english, note_at

_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


_SCALES = {"major": formula("1 2 3 4 5 6 7"), "minor": formula("1 2 b3 4 5 b6 b7")}
_CHROMATIC = formula("1 b2 2 b3 3 4 #4 5 b6 6 b7 7")
_MODE_WORDS = {
    "": "major",
    "major": "major",
    "maj": "major",
    "minor": "minor",
    "min": "minor",
    "m": "minor",
}
_MODE_NAMES = {
    **dict.fromkeys(("major", "dur", "majeur", "mayor", "maggiore"), "major"),
    **dict.fromkeys(("minor", "moll", "mineur", "menor", "minore"), "minor"),
}
_SIGN_WORDS = {"flat": "b", "sharp": "#"}
MAX_SIGNATURE = 7
"""Most sharps or flats a key signature has."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key: spelled ``tonic`` and ``mode``, ``major`` or ``minor``."""

    tonic: NoteName
    mode: str = "major"

    @classmethod
    def parse(cls, text: str) -> Key:
        """Return the key a text names: ``Bb``, ``G minor``, ``F#m``.

        Parameters
        ----------
        text
            A note, then perhaps ``minor``, ``min`` or ``m``.

        Raises
        ------
        OptionError
            Where it is no key, or its signature would have more than seven signs.

        Examples
        --------
        >>> Key.parse("Bb").signature
        -2
        >>> str(Key.parse("G minor"))
        'G minor'
        """
        check_types(text=(text, str))
        words = text.strip()
        end = 1
        while end < len(words) and words[end] in "b#♭♯":
            end += 1
        try:
            key = cls(NoteName.parse(words[:end]), _MODE_WORDS[words[end:].strip(" -").lower()])
        except (OptionError, KeyError) as error:
            raise OptionError(f"unknown key {text!r}; {_hint(words)}") from error
        if abs(key.signature) > MAX_SIGNATURE:
            raise OptionError(
                f"a key must have at most {MAX_SIGNATURE} signs, got {key}; write {key.simple}"
            )
        return key

    @property
    def signature(self) -> int:
        """Sharps in the signature; flats count below zero."""
        return (
            _FIFTHS[self.tonic.letter] + 7 * self.tonic.alter - (3 if self.mode == "minor" else 0)
        )

    @property
    def simple(self) -> Key:
        """The same key to the ear with at most seven signs in its signature."""
        if abs(self.signature) <= MAX_SIGNATURE:
            return self
        spelled = (Key(note, self.mode) for note in enharmonics(self.tonic.pc))
        return min(spelled, key=lambda key: (abs(key.signature), -key.signature))

    @property
    def scale(self) -> tuple[NoteName, ...]:
        """The seven notes of the major or the natural minor scale, spelled.

        >>> " ".join(str(note) for note in Key.parse("D minor").scale)
        'D E F G A Bb C'
        """
        return tuple(note_at(self.tonic, degree) for degree in _SCALES[self.mode])

    def spell(self, pc: int) -> NoteName:
        """Return a pitch class spelled as charts in this key do, without double signs.

        >>> str(Key.parse("F").spell(3)), str(Key.parse("E").spell(10))
        ('Eb', 'A#')
        """
        return simplified(note_at(self.tonic, _CHROMATIC[(pc - self.tonic.pc) % 12]))

    def degree(self, note: NoteName) -> Degree:
        """Return the function of a spelled note, counted as in the tonic's major scale.

        >>> str(Key.parse("F").degree(NoteName.parse("Eb")))
        'b7'
        """
        return degree_between(self.tonic, note)

    def __str__(self) -> str:
        """Return the key as the chart language writes it: ``Bb`` or ``G minor``."""
        return str(self.tonic) + (" minor" if self.mode == "minor" else "")


def degree_between(root: NoteName, note: NoteName) -> Degree:
    """Return the function, 1 to 7, of a spelled note above a spelled root.

    >>> str(degree_between(NoteName.parse("C"), NoteName.parse("Gb")))
    'b5'
    """
    number = (LETTERS.index(note.letter) - LETTERS.index(root.letter)) % 7 + 1
    return Degree(number, (note.pc - root.pc - Degree(number).semitones + 6) % 12 - 6)


def enharmonics(pc: int) -> tuple[NoteName, ...]:
    """Return the spellings of a pitch class with at most one sign.

    >>> [str(note) for note in enharmonics(1)]
    ['C#', 'Db']
    """
    return tuple(
        NoteName(letter, alter)
        for letter in LETTERS
        for alter in (0, 1, -1)
        if NoteName(letter, alter).pc == pc % 12
    )


def simplified(note: NoteName) -> NoteName:
    """Return a note with at most one sign, respelled in the direction of its signs.

    >>> str(simplified(NoteName.parse("Ebb")))
    'D'
    """
    if abs(note.alter) <= 1:
        return note
    return min(enharmonics(note.pc), key=lambda n: (abs(n.alter), -n.alter * note.alter))


def key_meant(text: str) -> str:
    """Return the key that a German, solfège or spoken name stands for; empty where none.

    >>> key_meant("Es"), key_meant("H"), key_meant("Sol"), key_meant("fis"), key_meant("x")
    ('Eb', 'B', 'G', 'F# minor', '')
    >>> key_meant("B flat"), key_meant("B-Dur"), key_meant("f sharp minor"), key_meant("F-Dur")
    ('Bb', 'Bb', 'F# minor', 'F')
    >>> key_meant("Hm"), key_meant("ebm"), key_meant("Q minor")
    ('B minor', 'Eb minor', '')
    """
    first, *rest = text.replace("-", " ").split() or [""]
    words = [word.lower() for word in rest]
    named = words.pop() if words and words[-1] in _MODE_NAMES else ""
    english = {"H": "B", "h": "Bm", "Hm": "Bm", "hm": "Bm"}.get(first) or in_english(first)
    if re.fullmatch("[a-g][b#♭♯]?m", first):
        english = first.capitalize()
    if words and words[0] in _SIGN_WORDS:
        english = f"{first.capitalize()}{_SIGN_WORDS[words.pop(0)]}"
    elif named:
        flat = "b" if first in ("B", "b") and named in ("dur", "moll") else ""
        english = english or f"{first.capitalize()}{flat}"
    tonic = english.removesuffix("m")
    if words or not re.fullmatch("[A-G][b#♭♯]?", tonic):
        return ""
    minor = _MODE_NAMES[named] == "minor" if named else english.endswith("m")
    try:
        return str(Key.parse(tonic + (" minor" if minor else "")))
    except OptionError:
        return ""


def _hint(text: str) -> str:
    meant = key_meant(text)
    if not meant and re.fullmatch("[a-g][#b♯♭]?", text):
        return f"write {text.capitalize()}, or {text.capitalize()} minor"
    return f"did you mean {meant}?" if meant else "a key is a note, perhaps with the word minor"


# --- pitches --------------------------------------------------------------------------------

HOME = Key(NoteName("C"))
"""The key that spells where none is known."""


def spelled(midi: int, chord: Chord | None = None, key: Key | None = None) -> str:
    """Return a MIDI note number as a note with its octave, spelled under a chord or in a key.

    >>> from porchswing.theory.symbols import parse_chord
    >>> spelled(73, parse_chord("A7")), spelled(73, parse_chord("Bbm"))
    ('C#5', 'Db5')
    """
    name = spell_pc(midi % 12, chord, key)
    return f"{name}{(midi - name.alter) // 12 - 1}"


def spell_pc(pc: int, chord: Chord | None = None, key: Key | None = None) -> NoteName:
    """Return a pitch class spelled as the chord does, else as the key does."""
    if chord is not None:
        for note in (*chord.notes, chord.bass_note):
            if note.pc == pc:
                return note
    return (key or HOME).spell(pc)


def shown_pc(pc: int, chord: Chord | None = None, key: Key | None = None) -> NoteName:
    """Return a pitch class as a player reads it: as :func:`spell_pc`, but never a double sign.

    >>> from porchswing.theory.symbols import parse_chord
    >>> str(spell_pc(5, parse_chord("Abdim7"))), str(shown_pc(5, parse_chord("Abdim7")))
    ('Gbb', 'F')
    """
    name = spell_pc(pc, chord, key)
    return name if abs(name.alter) < 2 else (key or HOME).spell(pc)
