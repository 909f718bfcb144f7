"""Write a performance as a Standard MIDI File (SMF 1.0, RP-001) at 960 ticks a quarter.

Format 1: a conductor track (tempo, meter, key signature, section markers, chord text), then
one named track a part; the count-in has its own track, so that a notation program can leave
it out. Format 0 merges them all into one track. Text is printable ASCII.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO
from operator import itemgetter

from mido import Message, MetaMessage, MidiFile, MidiTrack

from porchswing.errors import OptionError
from porchswing.midi.gm import (
    BRUSH_KEYS_GM2,
    BRUSH_KIT_GM2,
    CHANNELS,
    NYLON_GUITAR,
    PERCUSSION_CHANNEL,
    PROGRAMS,
    PROGRAMS_GM2,
    SILENT_ON_GM1,
    Program,
    pan,
    volume,
)
from porchswing.midi.tracks import SETUP, TimedMessage, channel_messages, controls
from porchswing.performance.model import Note, PartPerformance, Performance
from porchswing.theory.keys import Key
from porchswing.units import TICKS_PER_BEAT

PERCUSSION_VOICES = ("drums", "count")
MARK_TYPES = {"section": "marker", "chord": "text", "grip": "lyrics"}
"""The meta event that carries a mark of each kind; other kinds stay out of the file."""

REPLACEMENTS = str.maketrans(
    {
        "♭": "b",
        "♯": "#",
        "𝄫": "bb",
        "𝄪": "##",
        "Δ": "maj",
        "△": "maj",
        "ø": "m7b5",
        "°": "dim",
        "–": "-",
        "—": "-",
        "’": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
        "…": "...",
        "ß": "ss",
    }
)
"""What printable ASCII, which RP-001 advises for meta events, says for other signs."""


def midi_bytes(
    performance: Performance,
    *,
    file_format: int = 1,
    gm2: bool = False,
    channel_per_string: bool = False,
) -> bytes:
    """Return the bytes of a Standard MIDI File.

    ``file_format`` is 1 or 0. ``gm2`` asks for General MIDI 2's ukulele and brush kit.
    ``channel_per_string`` gives every string of the chord and line parts its own channel, so
    that unisons and glides stay apart. Controllers 7 and 10 carry the band's balance and places;
    brush sweeps, which Level 1 has no sound for, are written for Level 2 only.
    """
    if file_format not in (0, 1):
        raise OptionError(f"MIDI file format must be 0 or 1, got {file_format}")
    tracks = [list(_conductor(performance))]
    channels = iter(CHANNELS)
    for part in performance.parts:
        tracks.append(list(_part(part, channels, gm2=gm2, channel_per_string=channel_per_string)))
    if file_format == 0:
        tracks = [_merged(tracks)]
    file = MidiFile(type=file_format, ticks_per_beat=TICKS_PER_BEAT)
    file.tracks.extend(_track(events, performance.end_ticks) for events in tracks)
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _conductor(performance: Performance) -> Iterator[TimedMessage]:
    """Yield name, tempo, meter, key and the texts over the music."""
    yield _meta(0, "track_name", name=ascii_text(performance.title) or "untitled")
    count, unit = performance.meter
    clocks = 36 if unit == 8 and count % 3 == 0 and count > 3 else 24 * 4 // unit
    yield _meta(
        0,
        "time_signature",
        numerator=count,
        denominator=unit,
        clocks_per_click=clocks,
        notated_32nd_notes_per_beat=8,
    )
    signature = key_signature(performance.key)
    yield _meta(0, "key_signature", key=signature)
    for event in performance.tempo_events:
        yield _meta(event.tick, "set_tempo", tempo=event.us_per_quarter)
    for mark in performance.marks:
        if mark.kind == "key" and key_signature(mark.text) != signature:
            signature = key_signature(mark.text)
            yield _meta(mark.tick, "key_signature", key=signature)
        elif mark.kind in MARK_TYPES:
            yield _meta(mark.tick, MARK_TYPES[mark.kind], text=ascii_text(mark.text))


def key_signature(text: str) -> str:
    """Return the name of a key signature, such as ``Bb`` or ``F#m``; at most seven signs.

    >>> key_signature("G minor")
    'Gm'
    """
    key = Key.parse(text)
    return f"{key.tonic}{'m' if key.mode == 'minor' else ''}"


def ascii_text(text: str) -> str:
    """Return the text in printable ASCII; accents are dropped, other signs become ``?``.

    >>> ascii_text("B♭7 – Café")
    'Bb7 - Cafe'
    """
    spelled = unicodedata.normalize("NFKD", text.translate(REPLACEMENTS))
    letters = (sign for sign in spelled if not unicodedata.combining(sign))
    return "".join(sign if " " <= sign <= "~" else "?" for sign in letters)


def _seat(part: str) -> tuple[tuple[int, int], ...]:
    """Return a part's volume and place as controllers."""
    return (7, volume(part)), (10, pan(part))


def _part(
    part: PartPerformance, channels: Iterator[int], *, gm2: bool, channel_per_string: bool
) -> Iterator[TimedMessage]:
    """Yield name, sound and messages of one part, on the channels it is given."""
    yield _meta(0, "track_name", name=ascii_text(part.name))
    if part.instrument in PERCUSSION_VOICES:
        notes: Iterable[Note] = part.notes
        if gm2:
            notes = [
                replace(note, pitch=BRUSH_KEYS_GM2.get(note.piece or "", note.pitch))
                for note in notes
            ]
            if part.instrument == "drums":
                yield from _program(PERCUSSION_CHANNEL, BRUSH_KIT_GM2, gm2=True)
        else:
            notes = [note for note in notes if note.piece not in SILENT_ON_GM1]
        if part.instrument == "drums":  # the count shares the channel, and so its volume
            yield from controls(PERCUSSION_CHANNEL, *_seat(part.name))
        yield from channel_messages(notes, PERCUSSION_CHANNEL)
        return
    programs = PROGRAMS_GM2 if gm2 else PROGRAMS
    program = programs.get(part.instrument, NYLON_GUITAR)
    for notes in _by_channel(part.notes, channel_per_string):
        channel = next(channels, None)
        if channel is None:
            raise OptionError("more strings than MIDI has channels; leave a part out")
        yield from _program(channel, program, gm2=gm2)
        yield from controls(channel, *_seat(part.name))
        yield from channel_messages(notes, channel)


def _by_channel(notes: tuple[Note, ...], channel_per_string: bool) -> list[list[Note]]:
    """Return the notes grouped as channels: all together, or string by string."""
    strings = sorted({note.string or 0 for note in notes}, reverse=True)
    if not channel_per_string or not strings:
        return [list(notes)]
    return [[note for note in notes if (note.string or 0) == string] for string in strings]


def _program(channel: int, program: Program, *, gm2: bool) -> Iterator[TimedMessage]:
    if gm2:
        yield from controls(channel, (0, program.msb), (32, program.lsb))
    change = Message("program_change", channel=channel, program=program.program)
    yield TimedMessage(0, SETUP, change)


def _meta(tick: int, kind: str, **values: object) -> TimedMessage:
    return TimedMessage(tick, SETUP, MetaMessage(kind, **values))


def _merged(tracks: list[list[TimedMessage]]) -> list[TimedMessage]:
    """Return one track's events; only the conductor's name stays, as format 0 has one track."""
    conductor, *parts = tracks
    return conductor + [
        timed for part in parts for timed in part if timed.message.type != "track_name"
    ]


def _track(events: list[TimedMessage], end_ticks: int) -> MidiTrack:
    """Return the events as delta-timed messages with the end of track last."""
    track, now = MidiTrack(), 0
    for timed in sorted(events, key=itemgetter(0, 1)):  # stable, by tick and order
        track.append(timed.message.copy(skip_checks=True, time=timed.tick - now))
        now = timed.tick
    track.append(MetaMessage("end_of_track", time=max(0, end_ticks - now)))
    return track
