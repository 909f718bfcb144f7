"""The two lanes of a tune as MIDI files, played at once: which tones rub, read by mido alone."""

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


class Sounding(NamedTuple):
    """One pitch of the chord part while it sounds, in ticks, and the tones of the chord it is of."""

    pitch: int
    start: int
    end: int
    chord: frozenset[int]


class Rub(NamedTuple):
    """Two notes of two lanes a semitone apart, octaves aside, and for how many ticks."""

    plain: Sounding
    swing: Sounding
    ticks: int


def sounding(midi: bytes) -> list[Sounding]:
    """Return the pitches of the chord part of a MIDI file of ours, each with its chord's tones.

    A pitch bend moves a note that sounds: a slide in becomes the pitch that it reaches. A note is of
    the chord whose symbol (a text event) was written last when it began, or, pushed ahead of its
    symbol, of the next one within a beat.
    """
    file = mido.MidiFile(file=BytesIO(midi))
    symbols = [
        (tick, message.text)
        for tick, message in _absolute(file.tracks[0])
        if message.type == "text"
    ]
    part = next(track for track in file.tracks if track.name == "chords")
    bends: dict[int, int] = {}
    began: dict[tuple[int, int], tuple[int, int]] = {}
    found: list[Sounding] = []

    def close(key: tuple[int, int], tick: int) -> None:
        first, since = began[key]
        pitch = key[1] + bends.get(key[0], 0)
        if since < tick:
            chord = _chord_at(symbols, first, pitch, file.ticks_per_beat)
            found.append(Sounding(pitch, since, tick, chord))
        began[key] = first, tick

    for tick, message in _absolute(part):
        if message.type == "pitchwheel":
            semitones = round(message.pitch / 8192 * BEND_SEMITONES)
            if semitones != bends.get(message.channel, 0):
                for key in began:
                    if key[0] == message.channel:
                        close(key, tick)
                bends[message.channel] = semitones
        elif message.type in ("note_on", "note_off"):
            key = message.channel, message.note
            if key in began:
                close(key, tick)
                del began[key]
            if message.type == "note_on" and message.velocity:
                began[key] = tick, tick
    return found


def _absolute(track: mido.MidiTrack) -> Iterator[tuple[int, mido.Message]]:
    tick = 0
    for message in track:
        tick += message.time
        yield tick, message


def _chord_at(symbols: list[tuple[int, str]], start: int, pitch: int, beat: int) -> frozenset[int]:
    """Return the tones of the chord a note is of."""
    at = [text for tick, text in symbols if tick <= start][-1:]
    after = [text for tick, text in symbols if start < tick <= start + beat][:1]
    for text in (*at, *after):
        if text != "N.C." and pitch % 12 in (tones := parse_chord(text).pcs):
            return frozenset(tones)
    return frozenset()


def rubs(plain: Iterable[Sounding], swing: Iterable[Sounding]) -> list[Rub]:
    """Return the notes a semitone apart while both sound, but for a swing chord's own colour."""
    found = []
    waiting = sorted(swing, key=lambda note: note.start)
    for low in plain:
        for high in waiting:
            if high.start >= low.end:
                break
            ticks = min(low.end, high.end) - max(low.start, high.start)
            if ticks <= 0 or (low.pitch - high.pitch) % 12 not in SEMITONE:
                continue
            if not {low.pitch % 12, high.pitch % 12} <= high.chord:
                found.append(Rub(low, high, ticks))
    return found


def both_lanes(chart: Chart, depth: int) -> tuple[list[Sounding], list[Sounding]]:
    """Return the notes of a tune's plain chords, and of its swing lane made to sound with them."""
    choices = Choices(depth=depth, together=True, only=("chords",))
    lead = lead_of(chart, choices)
    plain = take_of_lead(lead, replace(choices, lane="plain"))
    return sounding(plain.midi_bytes()), sounding(take_of_lead(lead, choices).midi_bytes())
