"""Instruments as data: named tunings, and any tuning given as notes.

Strings are written from the highest-numbered one to string 1, each note with its octave
(scientific pitch notation: C4 is middle C, MIDI 60). Number of frets and scale length are
those of a usual instrument of the kind (common practice, no source; from memory).
"""

from __future__ import annotations

import re
from dataclasses import replace

from porchswing.errors import TuningError, near_word
from porchswing.grips.shapes.model import Tuning
from porchswing.theory.notes import NoteName

MIN_STRINGS, MAX_STRINGS = 3, 6
"""Fewest and most strings a tuning may have."""

LOWEST_MIDI, HIGHEST_MIDI = 21, 96
"""Lowest and highest open string, MIDI note numbers (the piano's A0 to C7)."""

# name, open strings, instrument, frets, scale length in mm, other names
ROWS: tuple[tuple[str, str, str, int, float, str], ...] = (
    (
        "gCEA",
        "G4 C4 E4 A4",
        "ukulele",
        15,
        381.0,
        "ukulele uke soprano concert tenor high-g re-entrant",
    ),
    ("GCEA", "G3 C4 E4 A4", "ukulele", 15, 381.0, "low-g linear"),
    ("aDF#B", "A4 D4 F#4 B4", "ukulele", 15, 346.0, "d-tuning adf#b"),
    ("DGBE", "D3 G3 B3 E4", "baritone ukulele", 18, 510.0, "baritone dgbe"),
    ("EADGBE", "E2 A2 D3 G3 B3 E4", "guitar", 19, 650.0, "guitar eadgbe"),
    ("CGDA", "C3 G3 D4 A4", "tenor banjo", 19, 580.0, "banjo tenor-banjo cgda"),
    ("GDAE", "G3 D4 A4 E5", "mandolin", 20, 350.0, "mandolin gdae"),
)
"""The named tunings; a lower-case first letter is the re-entrant (high) string."""

DEFAULT_FRETS, DEFAULT_SCALE_MM = 15, 381.0
"""What is assumed of an instrument given by its notes alone."""

_NOTE = re.compile(r"([A-Ga-g])([#b♯♭]{0,2})(-?\d)")
_STRINGS = re.compile(r"(?P<name>.*\S)[ :](?P<strings>[1-6]{3,6})")


def note_midi(text: str) -> int:
    """Return the MIDI note number of a note with its octave.

    >>> note_midi("C4"), note_midi("f#3")
    (60, 54)
    """
    found = _NOTE.fullmatch(text)
    if found is None:
        raise TuningError(f"a string is a note with its octave, such as g4 or F#3, got {text!r}")
    letter, signs, octave = found.groups()
    alter = sum(1 if sign in "#♯" else -1 for sign in signs)
    midi = 12 * (int(octave) + 1) + NoteName(letter.upper()).pc + alter
    if not LOWEST_MIDI <= midi <= HIGHEST_MIDI:
        raise TuningError(f"a string is tuned between A0 and C7, got {text!r}")
    return midi


TUNINGS: dict[str, Tuning] = {
    name: Tuning(name, tuple(map(note_midi, notes.split())), instrument, frets, scale_mm)
    for name, notes, instrument, frets, scale_mm, _ in ROWS
}
"""The named tunings by name."""

_ALIASES = {alias: row[0] for row in ROWS for alias in row[5].split()}


def tuning(text: str | Tuning) -> Tuning:
    """Return a tuning by name, by another name of it, or by its notes.

    A name may be followed by the numbers of the strings that grips shall use, for four-note
    grips on chosen strings: ``guitar 6432``. The other strings are muted.

    Parameters
    ----------
    text
        For example ``gCEA``, ``baritone``, ``guitar 4321`` or ``g4 c4 e4 a4``.

    Raises
    ------
    TuningError
        For an unknown name or notes that make no tuning.

    Examples
    --------
    >>> tuning("gCEA").open_midi
    (67, 60, 64, 69)
    >>> tuning("d3 g3 b3 e4").open_midi == tuning("baritone").open_midi
    True
    """
    if isinstance(text, Tuning):
        return text
    name = " ".join(text.replace("♯", "#").replace("♭", "b").split())
    named = _named(name)
    if named is not None:
        return named
    chosen = _STRINGS.fullmatch(name)
    if chosen is not None:
        base = _named(chosen["name"]) or tuning(chosen["name"])
        return _on_strings(base, tuple(int(digit) for digit in chosen["strings"]))
    words = re.split(r"[ ,]+", name)
    if not all(_NOTE.fullmatch(word) for word in words):
        raise TuningError(_unknown(text))
    if not MIN_STRINGS <= len(words) <= MAX_STRINGS:
        raise TuningError(
            f"a tuning has {MIN_STRINGS} to {MAX_STRINGS} strings, got {len(words)} in {text!r}"
        )
    notes = tuple(note_midi(word) for word in words)
    other = Tuning(" ".join(words), notes, "strings", DEFAULT_FRETS, DEFAULT_SCALE_MM)
    return next((known for known in TUNINGS.values() if known.open_midi == notes), other)


def _named(name: str) -> Tuning | None:
    if name in TUNINGS:
        return TUNINGS[name]
    alias = _ALIASES.get(name.lower())
    return TUNINGS[alias] if alias else None


def tuning_word(text: str | Tuning) -> str:
    """Return one word for a tuning that differs from the others' in more than its case.

    >>> tuning_word("GCEA"), tuning_word("EADGBE 5432"), tuning_word("c4 e4 a4")
    ('low-g', 'guitar 5432', 'c4 e4 a4')
    """
    name = tuning(text).name
    base, _, strings = name.partition(" ")
    words = next((row[5].split() for row in ROWS if row[0] == base), None)
    return name if words is None else f"{words[0]} {strings}".strip()


def _on_strings(base: Tuning, strings: tuple[int, ...]) -> Tuning:
    """Return a tuning whose grips use only some strings."""
    if len(set(strings)) < len(strings) or max(strings) > base.strings:
        raise TuningError(
            f"{base.name} has strings {base.strings} to 1, each used once; got {strings}"
        )
    played = tuple(sorted(strings, reverse=True))
    digits = "".join(str(string) for string in played)
    return replace(base, name=f"{base.name} {digits}", played_strings=played)


def _unknown(text: str) -> str:
    small = {name.lower(): name for name in [*_ALIASES, *reversed(TUNINGS)]}
    near = small.get(near_word(text.lower(), small, cutoff=0.5))
    hint = f"did you mean {near}?" if near else f"known: {', '.join(TUNINGS)}."
    return f"unknown tuning {text!r}; {hint} Or give its notes with octaves: 'g4 c4 e4 a4'"
