"""The two lanes of a tune as MIDI files, played at once: which chord tones rub, read by mido."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO
from typing import NamedTuple

import mido

from porchswing.chart.model import Chart
from porchswing.options import Choices
from porchswing.take import lead_of, take_of_lead
from porchswing.theory.symbols import parse_chord

SEMITONE = frozenset({1, 11})
"""Distances of two pitches in semitones, mod 12, that rub."""
BEND_SEMITONES = 2
"""How far a pitch wheel reaches: the default of General MIDI, and what our files say."""
HANDOVER_S = 0.05
"""Two hands that change chords at one bar line do so within this time."""


class Sounding(NamedTuple):
    """One pitch of the chord part while it sounds, in ticks.

    ``chords`` are the tones of the chord it begins in, and of those whose symbols it reaches.
    """

    pitch: int
    start: int
    end: int
    chords: tuple[frozenset[int], ...]
    is_bent: bool = False

    @property
    def is_tone(self) -> bool:
        """Whether it is a tone of a chord; the others are on their way (slide, fall, hammer)."""
        return not self.is_bent and any(self.pitch % 12 in chord for chord in self.chords)


class Rub(NamedTuple):
    """Two notes of two lanes a semitone apart, octaves aside, and for how many seconds."""

    plain: Sounding
    swing: Sounding
    seconds: float

    @property
    def is_of_tones(self) -> bool:
        """Whether both are chord tones and stand against each other, not in passing."""
        return self.plain.is_tone and self.swing.is_tone and self.seconds > HANDOVER_S


def both_lanes(chart: Chart, depth: int, *, together: bool = True) -> list[Rub]:
    """Return what rubs between a tune's plain chords and its swing lane, made to go with them."""
    choices = Choices(depth=depth, together=together, only=("chords",))
    lead = lead_of(chart, choices)
    plain = take_of_lead(lead, replace(choices, lane="plain"))
    return rubs(plain.midi_bytes(), take_of_lead(lead, choices).midi_bytes())


def rubs(plain: bytes, swing: bytes) -> list[Rub]:
    """Return the notes of two MIDI files a semitone apart, but for a swing chord's own colour."""
    tick_s, beginner = _sounding(plain)
    _, others = _sounding(swing)
    others.sort(key=lambda note: note.start)
    found = []
    for low in beginner:
        for high in others:
            if high.start >= low.end:
                break
            ticks = min(low.end, high.end) - max(low.start, high.start)
            if ticks <= 0 or (low.pitch - high.pitch) % 12 not in SEMITONE:
                continue
            if not any({low.pitch % 12, high.pitch % 12} <= chord for chord in high.chords):
                found.append(Rub(low, high, ticks * tick_s))
    return found


def _sounding(midi: bytes) -> tuple[float, list[Sounding]]:
    """Return the seconds of a tick and the pitches of the chord part; a bend moves a pitch."""
    file = mido.MidiFile(file=BytesIO(midi))
    conductor = list(_absolute(file.tracks[0]))
    symbols = [(tick, message.text) for tick, message in conductor if message.type == "text"]
    tempo = next(message.tempo for _, message in conductor if message.type == "set_tempo")
    part = next(track for track in file.tracks if track.name == "chords")
    bends: dict[int, int] = {}
    began: dict[tuple[int, int], tuple[int, int]] = {}
    found: list[Sounding] = []

    def close(key: tuple[int, int], tick: int) -> None:
        first, since = began[key]
        if since < tick:
            bend = bends.get(key[0], 0)
            chords = _chords(symbols, first, tick)
            found.append(Sounding(key[1] + bend, since, tick, chords, bend != 0))
        began[key] = first, tick

    for tick, message in _absolute(part):
        if message.type == "pitchwheel":
            semitones = round(message.pitch / 8192 * BEND_SEMITONES)
            for key in [key for key in began if key[0] == message.channel]:
                if semitones != bends.get(message.channel, 0):
                    close(key, tick)
            bends[message.channel] = semitones
        elif message.type in ("note_on", "note_off"):
            key = message.channel, message.note
            if key in began:
                close(key, tick)
                del began[key]
            if message.type == "note_on" and message.velocity:
                began[key] = tick, tick
    return tempo / 1e6 / file.ticks_per_beat, found


def _absolute(track: mido.MidiTrack) -> Iterator[tuple[int, mido.Message]]:
    tick = 0
    for message in track:
        tick += message.time
        yield tick, message


def _chords(symbols: Iterable[tuple[int, str]], start: int, end: int) -> tuple[frozenset[int], ...]:
    """Return the tones of the chords a note is over, the one it begins in first."""
    before = [text for tick, text in symbols if tick <= start][-1:]
    inside = [text for tick, text in symbols if start < tick < end]
    texts = [text for text in (*before, *inside) if text != "N.C."]
    return tuple(frozenset(parse_chord(text).pcs) for text in texts)
