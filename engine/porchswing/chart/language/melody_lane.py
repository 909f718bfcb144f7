"""The melody lane: pitches and their lengths, bar by bar; and the range of who sings them."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction

from porchswing.chart.language.problems import TextError, wrong
from porchswing.chart.language.values import write_fraction
from porchswing.chart.model import MelodyNote, Meter, Singer
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

_NEUTRAL = Key(NoteName("C"))
_LENGTH = r"([0-9]{1,3})(?:\.([0-9]{1,6})|/([0-9]{1,3}))?"
_PITCH = r"([A-G](?:#{1,2}|b{1,2}|♯|♭)?)(-1|[0-9])"


def read_note(text: str, meter: Meter) -> MelodyNote:
    """Read ``A4:2`` or ``r:1.5``: a pitch or a rest and its length in the meter's units.

    >>> note = read_note("Bb4:1/3", Meter())
    >>> note.pitch, note.beats
    (70, Fraction(1, 3))
    """
    name, colon, length = text.partition(":")
    if not colon:
        raise TextError(
            f"a melody note is a pitch and its beats, got {text!r}",
            "for example A4:2",
            width=len(text),
        )
    match = re.fullmatch(_LENGTH, length)
    if match is None or (match[3] is not None and not int(match[3])):
        raise TextError(
            f"a length in beats is expected, got {length!r}",
            "for example A4:1.5",
            len(name) + 1,
            max(1, len(length)),
        )
    units = Fraction(length)
    if not units:
        raise TextError("a note lasts longer than 0 beats", "", len(name) + 1, len(length))
    return MelodyNote(read_pitch(name), units * meter.unit_beats, text)


def read_pitch(name: str) -> int | None:
    """Return the MIDI note number of a pitch name, ``None`` for a rest.

    >>> read_pitch("A3")
    57
    """
    if name in ("r", "R"):
        return None
    match = re.fullmatch(_PITCH, name)
    if match is None:
        raise TextError(
            f"a pitch is a note and its octave, or r, got {name!r}",
            "for example Bb4; C4 is middle C",
            width=max(1, len(name)),
        )
    note = NoteName.parse(match[1])
    pitch = 12 * (int(match[2]) + 1) + NoteName(note.letter).pc + note.alter
    if not 0 <= pitch <= 127:
        raise TextError(f"pitches go from C-1 to G9, got {name}", width=len(name))
    return pitch


def pitch_name(pitch: int, note: NoteName) -> str:
    """Return the name with octave of a pitch spelled as ``note``.

    >>> pitch_name(59, NoteName("C", -1))
    'Cb4'
    """
    return f"{note}{(pitch - note.alter) // 12 - 1}"


def write_note(note: MelodyNote, meter: Meter, key: Key) -> str:
    """Write a melody note, as it was typed where it still says the same."""
    with suppress(TextError):
        if note.written and read_note(note.written, meter) == note:
            return note.written
    name = "r" if note.pitch is None else pitch_name(note.pitch, key.spell(note.pitch % 12))
    return f"{name}:{write_fraction(note.beats / meter.unit_beats)}"


def read_range(text: str) -> Singer:
    """Read two pitches, the lower one first, divided by a space or two dots.

    >>> read_range("A3 D5"), read_range("A3..D5")
    (Singer(low=57, high=74), Singer(low=57, high=74))
    """
    with suppress(ValueError):  # TextError is one; so are not two pitches
        low, high = map(read_pitch, re.split(r"\s*\.\.\s*|\s+", text.strip()))
        if low is not None and high is not None and low < high:
            return Singer(low, high)
    raise wrong(
        "a singer's range is its lowest and highest note",
        text,
        "for example A3 D5; C4 is middle C",
    )


def write_range(singer: Singer) -> str:
    """Write a singer's range."""
    return f"{note_of(singer.low)} {note_of(singer.high)}"


def note_of(pitch: int) -> str:
    """Return the name with octave of a pitch, as the key of C spells it."""
    return pitch_name(pitch, _NEUTRAL.spell(pitch % 12))
