"""What the page plays: every distinct note once as one strip, and the band as one small MP3.

The strip's codec was chosen by measuring (DEVELOPERS.md, "What was measured"): MP3 with a
variable bit rate is small and quiet enough, and every phone decodes it. Decoders leave different
amounts of silence at the front of an MP3, so the strip begins with a marker that the page looks
for: onsets are exact with any decoder. The small MP3 is for readers that run no scripts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, islice
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from porchswing.audio.master.loudness import integrated_lufs
from porchswing.audio.master.mastering import level_gain_db
from porchswing.audio.master.mp3 import mp3_bytes
from porchswing.audio.mix.desk import Seat
from porchswing.audio.mix.mixdown import render_blocks
from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.room import PORCH, response
from porchswing.audio.mix.strikes import NoteKey, Schedule, schedule_of, velocity_gain
from porchswing.pages.practice.page_lane import PageLane
from porchswing.performance.model import Note, Performance
from porchswing.units import db_to_gain

Samples = NDArray[np.float32]

RATE_HZ = 32000
ROOM_RATE_HZ = 22050
"""The room is made as the tracks have it: at half of 44.1 kHz."""

SLOWEST_SPEED = 0.4
"""The page plays down to this share of the written tempo, so notes must last that much longer."""

LONGEST_S = 3.0
QUIET_DB = -54.0
"""A sound is cut where it stays this far under its loudest 10 ms, or after ``LONGEST_S``."""

PEAK = 0.7
GAP_S = 0.05
FADE_S = 0.03
MARK_S = 0.1
MARK_HZ = 1500.0
MARK_WIDTH_S = 0.0004
LOUDNESS_LUFS = -18.0
CEILING_DB = -2.0
"""The highest sample of the whole band at full levels; a decibel is left for true peaks."""
MEASURED_BLOCKS = 16
"""Blocks of four seconds that are enough to know how loud the band is."""

OWN_LENGTH = ("ring", "chuck", "mute")
"""Touches whose sound ends by itself, at any tempo."""

VELOCITY_LAYERS = ((82, 64), (127, 106))
"""Plucked notes up to the first number are heard from a note struck at the second one."""

MOST_TRACK_BYTES = 700_000
"""Largest small MP3: as base64 text it stays under a megabyte, the page of 32 bars under three."""

TRACK_RATE_HZ = 24000
TRACK_RATES_KBPS = (64, 56, 48, 40, 32)

TRACK_FADE_S = 3.0


@dataclass(frozen=True, slots=True)
class StruckNote:
    """How the page sounds one note of a part.

    ``sound`` and ``seat`` number the strip's sounds and seats, ``gain`` multiplies the sound,
    ``string`` is the string it stops (0 where a part has one voice, -1 where nothing is
    stopped), and ``lasts_s`` is its length where that does not depend on the tempo.
    """

    sound: int
    seat: int
    gain: float
    string: int
    lasts_s: float | None


@dataclass(frozen=True, slots=True)
class SoundStrip:
    """The compressed ``audio`` and what it takes to play from it.

    ``cuts`` are start, length and damping time of every sound, in seconds; the last two sounds
    are the room's response, left and right, to be multiplied by ``room_gain``. ``seats`` are
    pairs of a part and its seat, ``master_gain`` brings the whole to the usual loudness.
    """

    audio: bytes
    cuts: tuple[tuple[float, float, float], ...]
    seats: tuple[tuple[str, Seat], ...]
    struck: dict[tuple[str, str], tuple[StruckNote, ...]]
    room_gain: float
    master_gain: float


class KeptSound(NamedTuple):
    """A sound that is kept for a page: its number, how much it was turned down, its length."""

    number: int
    gain: float
    length_s: float


def sound_strip(lanes: Sequence[PageLane]) -> SoundStrip:
    """Return the strip of every note the lanes play."""
    schedules = [schedule_of(slow_and_plain(lane.performance), takes=1) for lane in lanes]
    sounds, damps_s = _banked(schedules)
    room = room_response()
    room_gain = _loudest(room) / PEAK
    gains = [_loudest(sound) / PEAK for sound in sounds.values()]
    pieces = [
        trimmed(sound) / np.float32(gain)
        for sound, gain in zip(sounds.values(), gains, strict=True)
    ]
    samples, places = _laid_out([*pieces, *(room / np.float32(room_gain))])
    kept = {
        key: KeptSound(number, gains[number], places[number][1])
        for number, key in enumerate(sounds)
    }
    seats: dict[tuple[str, Seat], int] = {}
    struck: dict[tuple[str, str], tuple[StruckNote, ...]] = {}
    for lane, schedule in zip(lanes, schedules, strict=True):
        struck |= struck_notes(lane, schedule, kept, seats)
    damped = zip(places, [*damps_s.values(), 0.0, 0.0], strict=True)
    return SoundStrip(
        audio=mp3_bytes(samples, RATE_HZ),
        cuts=tuple((*place, damp_s) for place, damp_s in damped),
        seats=tuple(seats),
        struck=struck,
        room_gain=room_gain,
        master_gain=master_gain_of(lanes[0].performance),
    )


def struck_notes(
    lane: PageLane,
    schedule: Schedule,
    kept: Mapping[NoteKey, KeptSound],
    seats: dict[tuple[str, Seat], int],
) -> dict[tuple[str, str], tuple[StruckNote, ...]]:
    """Return how every note of a lane is struck, by lane and part; new ``seats`` are numbered."""
    found = {}
    for part in lane.performance.parts:
        rows = []
        for note, strike in zip(part.notes, schedule.strikes[part.name], strict=True):
            key = schedule.keys[strike.sound]
            sound, is_kit = kept[key], key.voice == "kit"
            rows.append(
                StruckNote(
                    sound.number,
                    seats.setdefault((part.name, strike.seat), len(seats)),
                    gain=velocity_gain(note.velocity) * sound.gain,
                    string=-1 if is_kit else note.string or 0,
                    lasts_s=sound.length_s if is_kit or note.touch in OWN_LENGTH else None,
                )
            )
        found[lane.name, part.name] = tuple(rows)
    return found


def _banked(schedules: Sequence[Schedule]) -> tuple[dict[NoteKey, Samples], dict[NoteKey, float]]:
    """Return every distinct sound, the longest of each, and the longest it is damped for."""
    sounds: dict[NoteKey, Samples] = {}
    damps_s: dict[NoteKey, float] = {}
    for schedule in schedules:
        for key, sound in zip(schedule.keys, rendered_notes(schedule, RATE_HZ), strict=True):
            if key not in sounds or sounds[key].size < sound.size:
                sounds[key] = sound
            damps_s.setdefault(key, 0.0)
        for strike in chain.from_iterable(schedule.strikes.values()):
            key = schedule.keys[strike.sound]
            damps_s[key] = max(damps_s[key], strike.damp_s)
    return sounds, damps_s


def room_response() -> Samples:
    """Return the room's response, shape (2, frames), at the strip's rate, the same in time."""
    room = response(PORCH, ROOM_RATE_HZ, round(PORCH.seconds * ROOM_RATE_HZ))
    frames = round(room.shape[1] * RATE_HZ / ROOM_RATE_HZ)
    resampled: Samples = np.fft.irfft(np.fft.rfft(room), frames) * (frames / room.shape[1])
    return resampled.astype(np.float32)


def _loudest(samples: Samples) -> float:
    """Return the highest absolute sample (a little more than nothing where all is silent)."""
    return float(np.abs(samples).max(initial=1e-9))


def slow_and_plain(performance: Performance) -> Performance:
    """Return the performance as the sounds must cover it: slowest, in few layers, unbent.

    The page bends notes itself and scales them by velocity.
    """
    parts = tuple(
        replace(part, notes=tuple(_slow_note(note) for note in part.notes))
        for part in performance.parts
    )
    return replace(performance, parts=parts)


def _slow_note(note: Note) -> Note:
    onset_s = note.onset_s / SLOWEST_SPEED
    if note.piece is not None:  # struck sounds have their own layers and length
        return replace(note, onset_s=onset_s, end_s=onset_s + note.end_s - note.onset_s)
    layer = next(struck for most, struck in VELOCITY_LAYERS if note.velocity <= most)
    end_s = note.end_s / SLOWEST_SPEED
    return replace(note, onset_s=onset_s, end_s=end_s, velocity=layer, bends=(), brightness=0.0)


def trimmed(sound: Samples) -> Samples:
    """Return a sound without its inaudible end, faded out where it is cut."""
    step = RATE_HZ // 100
    steps = sound[: sound.size // step * step].reshape(-1, step)
    energy = np.sqrt(np.mean(steps**2, axis=1)) if steps.size else np.zeros(1)
    heard = np.nonzero(energy >= energy.max() * db_to_gain(QUIET_DB))[0]
    frames = min((int(heard[-1]) + 2) * step, round(LONGEST_S * RATE_HZ), sound.size)
    cut = sound[:frames].copy()
    fade = min(frames, round(FADE_S * RATE_HZ))
    if frames < sound.size:
        cut[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    return cut


def _laid_out(pieces: Sequence[Samples]) -> tuple[Samples, list[tuple[float, float]]]:
    """Return the strip, marker first, and start and length in seconds of every piece."""
    gap = np.zeros(round(GAP_S * RATE_HZ), np.float32)
    laid, places, at = [_mark()], [], round(2 * MARK_S * RATE_HZ)
    for piece in pieces:
        laid += [gap, piece]
        places.append(((at + gap.size) / RATE_HZ, piece.size / RATE_HZ))
        at += gap.size + piece.size
    return np.concatenate([*laid, gap]).astype(np.float32), places


def _mark() -> Samples:
    """Return the marker: a short burst whose single highest point is at ``MARK_S``."""
    time = np.arange(round(2 * MARK_S * RATE_HZ)) / RATE_HZ - MARK_S
    burst = np.exp(-0.5 * (time / MARK_WIDTH_S) ** 2) * np.cos(2 * np.pi * MARK_HZ * time)
    return (0.9 * burst).astype(np.float32)


def master_gain_of(performance: Performance) -> float:
    """Return the gain that brings the whole band to the usual loudness under the ceiling."""
    samples = np.concatenate(list(islice(render_blocks(performance, RATE_HZ), MEASURED_BLOCKS)))
    return _usual_gain(samples, RATE_HZ)


def _usual_gain(samples: Samples, rate_hz: int) -> float:
    """Return the gain that brings samples, shape (frames, 2), to the usual loudness."""
    lufs = integrated_lufs(samples, rate_hz)
    return db_to_gain(level_gain_db(lufs, _loudest(samples), LOUDNESS_LUFS, CEILING_DB))


@dataclass(frozen=True, slots=True)
class PlainTrack:
    """The band as an MP3 file, how long it plays, and whether it holds the whole performance."""

    audio: bytes
    seconds: float
    is_whole: bool


def plain_track(performance: Performance) -> PlainTrack:
    """Return the whole band as one small recording at the usual loudness.

    Mono at 24 kHz with a constant bit rate (MPEG-2, layer III): speech-grade at the lowest rate,
    good enough to play along at the highest. The best rate that keeps the file under
    :data:`MOST_TRACK_BYTES` is taken; a tune too long for the lowest is faded out.
    """
    blocks = [block.mean(axis=1) for block in render_blocks(performance, TRACK_RATE_HZ)]
    samples = np.concatenate(blocks).astype(np.float32)
    most_frames = {
        kbps: int(MOST_TRACK_BYTES * 8 / (kbps * 1000) * TRACK_RATE_HZ) for kbps in TRACK_RATES_KBPS
    }
    fitting = (kbps for kbps, most in most_frames.items() if samples.size <= most)
    kbps = next(fitting, TRACK_RATES_KBPS[-1])
    frames = min(samples.size, most_frames[kbps])
    is_whole = frames == samples.size
    samples = samples[:frames].copy()
    if not is_whole:
        fade = round(TRACK_FADE_S * TRACK_RATE_HZ)
        samples[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    samples *= np.float32(_usual_gain(np.stack([samples, samples], axis=1), TRACK_RATE_HZ))
    return PlainTrack(
        mp3_bytes(samples, TRACK_RATE_HZ, kbps=kbps), frames / TRACK_RATE_HZ, is_whole
    )
