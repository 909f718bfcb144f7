"""When each sound is struck: a performance as distinct sounds and where, how loud and how long.

A plucked stroke is mixed of one take of its note at two neighbouring loudness layers, so that its
brightness follows its loudness without steps; strokes of one note take its takes in turn.
:func:`schedule_of` lists the distinct sounds, how much of each is needed, and every strike of
them; :mod:`porchswing.audio.mix.note_sounds` renders them. Plain Python, so that
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
from porchswing.audio.synth.voices import CONCERT, PLUCKED, TAKES, PluckedVoice

if TYPE_CHECKING:
    from porchswing.performance.model import Bend, Note, PartPerformance, Performance

RESTRIKE = 0.7
"""A string struck again stops what it sounded in this part of the time a damped one takes.

Not faster: a note cut within less than some periods leaves a trace of DC.
"""

QUICK_S = 0.1
"""A string struck again within this time is silent when it is: the finger lands before it plucks.

Rolls and tremolos would else sound two strokes at once, up to 5 dB louder than either.
"""

LEAST_SHARE = 0.02
"""A layer of a smaller share in a stroke is left out: a seventh of a dB in the highs."""

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
    """What makes a sound distinct; ``voice`` names a row of the voices, or ``kit``.

    ``variant`` is the take.
    """

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
    over ``damp_s`` (half a cosine), and is multiplied by ``gain`` before its ``seat``. ``other``
    is the next louder layer, added with ``other_gain``, or -1 for none.
    """

    sound: int
    start_s: float
    stop_s: float
    damp_s: float
    gain: float
    other: int
    other_gain: float
    seat: Seat


class Strikes:
    """A part's strikes in order of its notes, kept in columns: an hour has a hundred thousand.

    Iterating gives every :class:`Strike`; the columns are its fields, ``seat`` as an index into
    ``seats``.
    """

    __slots__ = (
        "damp_s", "gain", "other", "other_gain", "seat", "seats", "sound", "start_s", "stop_s",
    )  # fmt: skip

    def __init__(self) -> None:
        self.sound, self.other, self.seat = array("l"), array("l"), array("l")
        self.start_s, self.stop_s, self.damp_s = (array("d") for _ in range(3))
        self.gain, self.other_gain = array("d"), array("d")
        self.seats: list[Seat] = []

    def __iter__(self) -> Iterator[Strike]:
        """Return the strikes in their order."""
        seats = (self.seats[place] for place in self.seat)
        return map(
            Strike, self.sound, self.start_s, self.stop_s, self.damp_s, self.gain, self.other,
            self.other_gain, seats,
        )  # fmt: skip


class Schedule(NamedTuple):
    """A performance as the renderer reads it.

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


def schedule_of(performance: Performance, takes: int = len(TAKES)) -> Schedule:
    """Return every distinct sound of a performance, and where each is struck.

    ``takes`` is how many takes of a plucked note follow one another.
    """
    sounds = _Sounds({}, [])
    strikes = {part.name: _part_strikes(part, sounds, takes) for part in performance.parts}
    return Schedule(tuple(sounds.numbers), tuple(sounds.needs_s), strikes, performance.end_s)


class _Sounds(NamedTuple):
    """The distinct sounds found so far, numbered, and how long each is needed."""

    numbers: dict[NoteKey, int]
    needs_s: list[float]

    def number(self, key: NoteKey) -> int:
        """Return the number of a sound."""
        number = self.numbers.setdefault(key, len(self.numbers))
        if number == len(self.needs_s):
            self.needs_s.append(0.0)
        return number

    def need(self, number: int, needed_s: float) -> None:
        """Note that a sound is needed so long."""
        if needed_s > self.needs_s[number]:
            self.needs_s[number] = needed_s


class _Plucked:
    """One note of a string, whatever its take and layer: how often it was struck, its numbers.

    A tune strikes few notes many times: their keys are made once.
    """

    __slots__ = ("_numbers", "_sounds", "key", "turn")

    def __init__(self, key: NoteKey, sounds: _Sounds) -> None:
        self.key, self.turn = key, key.string
        self._sounds = sounds
        self._numbers: dict[tuple[int, int], int] = {}

    def number(self, layer: int, take: int) -> int:
        """Return the number of its sound in a layer and take."""
        number = self._numbers.get((layer, take))
        if number is None:
            number = self._sounds.number(self.key._replace(layer=layer, variant=take))
            self._numbers[layer, take] = number
        return number


def _part_strikes(part: PartPerformance, sounds: _Sounds, takes: int) -> Strikes:
    """Return a part's strikes; number its new sounds and note how long each is needed."""
    voice = _voice(part)
    struck: dict[str, int] = {}
    plucked: dict[NoteKey, _Plucked] = {}
    known: dict[tuple[object, ...], _Plucked] = {}
    strikes = Strikes()
    seats: dict[str, int] = {}
    for note, cut_s in zip(part.notes, _cuts(part.notes, voice), strict=True):
        share, other = 0.0, -1
        if voice is None:
            key, lasts_s, damp_s = _kit_key(note, struck)
            number, piece = sounds.number(key), key.piece
        else:
            place = (note.pitch, note.string, note.fret, note.touch, note.bends)
            of_string = known.get(place)
            if of_string is None:
                key = _string_key(note, voice)
                of_string = known[place] = plucked.setdefault(key, _Plucked(key, sounds))
            of_string.turn = turn = of_string.turn + 1
            layer, share = _between_layers(note)
            number, piece = of_string.number(layer, turn % takes), ""
            if share:
                other = of_string.number(layer + 1, turn % takes)
            lasts_s, damp_s = _sounding_s(note), voice.damp_s
        onset_s = note.onset_s
        if onset_s + lasts_s > cut_s:
            lasts_s, damp_s = max(0.0, cut_s - onset_s), damp_s * RESTRIKE
        sounds.need(number, lasts_s + damp_s)
        if share:
            sounds.need(other, lasts_s + damp_s)
        gain = velocity_gain(note.velocity)
        if piece not in seats:
            seats[piece] = len(seats)
            strikes.seats.append(seat(part.name, piece))
        strikes.sound.append(number)
        strikes.start_s.append(onset_s)
        strikes.stop_s.append(onset_s + lasts_s)
        strikes.damp_s.append(damp_s)
        strikes.gain.append(gain * (1.0 - share))
        strikes.other.append(other)
        strikes.other_gain.append(gain * share)
        strikes.seat.append(seats[piece])
    return strikes


def _voice(part: PartPerformance) -> PluckedVoice | None:
    """Return the plucked voice of a part, or None for the kit."""
    if part.name in _KIT or part.instrument in _KIT:
        return None
    return PLUCKED.get(part.instrument) or PLUCKED.get(part.name, CONCERT)


def _cuts(notes: Sequence[Note], voice: PluckedVoice | None) -> list[float]:
    """Return when each note's string is struck again (never: infinity), the finger on it."""
    cuts = [float("inf")] * len(notes)
    if voice is None:
        return cuts
    landing_s = voice.damp_s * RESTRIKE
    following: dict[int, Note] = {}
    for place in range(len(notes) - 1, -1, -1):
        note = notes[place]
        string = note.string if note.string is not None else 0
        after = following.get(string)
        if after is not None:
            is_quick = after.onset_s - note.onset_s < QUICK_S and after.touch != "slur"
            cuts[place] = after.onset_s - landing_s if is_quick else after.onset_s
        following[string] = note
    return cuts


def _string_key(note: Note, voice: PluckedVoice) -> NoteKey:
    """Return a plucked note's key in its first take and layer."""
    string, fret = note.string, note.fret
    if string is None or fret is None:
        string, fret = _place(note.pitch, voice)
    touch = _TOUCH.get(note.touch, "pluck")
    return NoteKey(voice.name, note.pitch, string, fret, 0, touch, bends=note.bends)


def _sounding_s(note: Note) -> float:
    """Return how long a plucked note sounds before it is damped."""
    short_s = _TOUCH_S.get(note.touch)
    if short_s is not None:
        return short_s
    return RING_S if note.touch == "ring" else min(note.end_s - note.onset_s, RING_S)


def _between_layers(note: Note) -> tuple[int, float]:
    """Return the loudness layer at or under a note's brightness, and the share of the next one."""
    height = note.velocity / 127.0 * voices.LAYERS - 0.5 + note.brightness
    height = min(max(height, 0.0), voices.LAYERS - 1.0)
    layer = min(int(height), voices.LAYERS - 2)
    share = height - layer
    if share > 1.0 - LEAST_SHARE:
        return layer + 1, 0.0
    return layer, share if share > LEAST_SHARE else 0.0


def _place(pitch: int, voice: PluckedVoice) -> tuple[int, int]:
    """Return the string and fret of a pitch where the player gave none."""
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
