"""When each sound is struck: a performance as distinct sounds and where, how loud and how long.

Two notes of the same instrument, string, fret, loudness layer and touch are the same sound
at two moments. :func:`schedule_of` lists the distinct ones, how much of each is needed, and
every strike of them; :mod:`porchswing.audio.mix.note_sounds` renders them. Plain Python, so that
the process that performs need not be the one that renders.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from porchswing.audio.mix.desk import Seat, seat
from porchswing.audio.synth import kit, voices
from porchswing.audio.synth.kit import GM_PIECES, STRUCK
from porchswing.audio.synth.voices import CONCERT, PLUCKED, PluckedVoice

if TYPE_CHECKING:
    from porchswing.performance.model import Bend, Note, PartPerformance, Performance

RESTRIKE = 0.7
"""A string struck again stops what it sounded in this part of the time a damped one takes.

Not faster: a note cut within less than some periods leaves a trace of DC.
"""

RING_S = 5.0
"""The longest a note left to ring sounds."""

KIT_DAMP_S = 0.01
"""How fast a struck sound ends when its time is over."""

_TOUCH = {"ring": "pluck", "damp": "pluck", "slur": "slur", "chuck": "chuck", "mute": "mute"}
_TOUCH_S = {"chuck": 0.16, "mute": 0.08}
_SWEEP_STEP_S = 0.02
_KIT = {"drums", "count", "kit", "clicks"}
"""Parts and instruments that are struck, not plucked."""


class NoteKey(NamedTuple):
    """What makes a sound distinct; ``voice`` names a row of the voices, or ``kit``."""

    voice: str
    pitch: int
    string: int
    fret: int
    layer: int
    touch: str
    piece: str = ""
    variant: int = 0
    sweep_steps: int = 0
    bends: tuple[Bend, ...] = ()


class Strike(NamedTuple):
    """One appearance of a sound.

    ``sound`` indexes the schedule's keys; it starts at ``start_s``, is damped from ``stop_s``
    over ``damp_s`` (half a cosine), and is multiplied by ``gain`` before its ``seat``.
    """

    sound: int
    start_s: float
    stop_s: float
    damp_s: float
    gain: float
    seat: Seat


class Strikes:
    """A part's strikes in order of its notes, kept in columns: an hour has a hundred thousand.

    Iterating gives every :class:`Strike`; the columns are its fields, ``seat`` as an index into
    ``seats``.
    """

    __slots__ = ("damp_s", "gain", "seat", "seats", "sound", "start_s", "stop_s")

    def __init__(self) -> None:
        self.sound, self.seat = array("l"), array("l")
        self.start_s, self.stop_s, self.damp_s, self.gain = (array("d") for _ in range(4))
        self.seats: list[Seat] = []

    def __iter__(self) -> Iterator[Strike]:
        """Yield the strikes."""
        seats = (self.seats[place] for place in self.seat)
        columns = (self.sound, self.start_s, self.stop_s, self.damp_s, self.gain, seats)
        yield from map(Strike, *columns)


class Schedule(NamedTuple):
    """A performance as a renderer wants it.

    The distinct sounds and the seconds needed of each, and every part's strikes, in order of
    its notes; ``end_s`` is where the last bar ends.
    """

    keys: tuple[NoteKey, ...]
    needs_s: tuple[float, ...]
    strikes: Mapping[str, Strikes]
    end_s: float


@lru_cache(maxsize=128)
def velocity_gain(velocity: int) -> float:
    """Return the amplitude factor of a MIDI velocity (1 to 127).

    >>> velocity_gain(127)
    1.0
    """
    return float((velocity / 127.0) ** 1.4)


def schedule_of(performance: Performance) -> Schedule:
    """Return every distinct sound of a performance, and where each is struck."""
    numbers: dict[NoteKey, int] = {}
    needs: list[float] = []
    strikes = {part.name: _part_strikes(part, numbers, needs) for part in performance.parts}
    return Schedule(tuple(numbers), tuple(needs), strikes, performance.end_s)


def _part_strikes(
    part: PartPerformance, numbers: dict[NoteKey, int], needs: list[float]
) -> Strikes:
    """Return a part's strikes; number its new sounds and note how long each is needed."""
    voice = _voice(part)
    takes: dict[str, int] = {}
    strikes = Strikes()
    seats: dict[str, int] = {}
    for note, cut_s in zip(part.notes, _cuts(part.notes, voice), strict=True):
        if voice is None:
            key, lasts_s, damp_s = _kit_key(note, takes)
        else:
            key, lasts_s, damp_s = _string_key(note, voice)
        onset_s = note.onset_s
        if onset_s + lasts_s > cut_s:
            lasts_s, damp_s = max(0.0, cut_s - onset_s), damp_s * RESTRIKE
        number = numbers.setdefault(key, len(numbers))
        if number == len(needs):
            needs.append(lasts_s + damp_s)
        elif lasts_s + damp_s > needs[number]:
            needs[number] = lasts_s + damp_s
        if key.piece not in seats:
            seats[key.piece] = len(seats)
            strikes.seats.append(seat(part.name, key.piece))
        strikes.sound.append(number)
        strikes.start_s.append(onset_s)
        strikes.stop_s.append(onset_s + lasts_s)
        strikes.damp_s.append(damp_s)
        strikes.gain.append(velocity_gain(note.velocity))
        strikes.seat.append(seats[key.piece])
    return strikes


def _voice(part: PartPerformance) -> PluckedVoice | None:
    """Return the plucked voice of a part, or None for the kit."""
    if part.name in _KIT or part.instrument in _KIT:
        return None
    return PLUCKED.get(part.instrument) or PLUCKED.get(part.name, CONCERT)


def _cuts(notes: Sequence[Note], voice: PluckedVoice | None) -> list[float]:
    """Return when each note's string is struck again (never: infinity)."""
    cuts = [float("inf")] * len(notes)
    if voice is None:
        return cuts
    following: dict[int, float] = {}
    for place in range(len(notes) - 1, -1, -1):
        note = notes[place]
        string = note.string if note.string is not None else 0
        cuts[place] = following.get(string, float("inf"))
        following[string] = note.onset_s
    return cuts


def _string_key(note: Note, voice: PluckedVoice) -> tuple[NoteKey, float, float]:
    """Return a plucked note's key, how long it sounds and how fast it is damped."""
    touch = _TOUCH.get(note.touch, "pluck")
    string, fret = note.string, note.fret
    if string is None or fret is None:
        string, fret = _place(note.pitch, voice)
    layer = min(voices.LAYERS - 1, note.velocity * voices.LAYERS // 128)
    key = NoteKey(voice.name, note.pitch, string, fret, layer, touch, bends=note.bends)
    if touch in _TOUCH_S:
        return key, _TOUCH_S[touch], voice.damp_s
    lasts_s = RING_S if note.touch == "ring" else note.end_s - note.onset_s
    return key, min(lasts_s, RING_S), voice.damp_s


def _place(pitch: int, voice: PluckedVoice) -> tuple[int, int]:
    """Return the string and fret of a pitch where the player did not say."""
    count = len(voice.open_midi)
    reachable = [
        (pitch - open_note, count - place)
        for place, open_note in enumerate(voice.open_midi)
        if open_note <= pitch
    ]
    fret, string = min(reachable, default=(0, 1))
    return string, fret


def _kit_key(note: Note, takes: dict[str, int]) -> tuple[NoteKey, float, float]:
    """Return a struck sound's key, how long it sounds and how fast it is damped."""
    piece = note.piece if note.piece in STRUCK else GM_PIECES.get(note.pitch, "sticks")
    row = STRUCK[piece]
    take = takes.get(piece, 0)
    takes[piece] = take + 1
    layer = min(kit.LAYERS - 1, note.velocity * kit.LAYERS // 128)
    steps, seconds = 0, row.seconds
    if row.sweep:
        steps = max(3, round(min(row.seconds, note.end_s - note.onset_s) / _SWEEP_STEP_S))
        seconds = steps * _SWEEP_STEP_S
    key = NoteKey("kit", note.pitch, 0, 0, layer, "hit", piece, take % row.variants, steps)
    return key, seconds, KIT_DAMP_S
