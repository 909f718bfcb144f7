"""What must hold of any take: each function returns the rules broken, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import mido

from porchswing.band.bass.bass_notes import HIGHEST, LOWEST, scale_pcs
from porchswing.band.compose import compose_score
from porchswing.band.score import PartScore, Pluck, Score
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.search.voice import voice
from porchswing.midi.smf import midi_bytes
from porchswing.options import BandStyle
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import load_pattern_data, pattern_names
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from support.random_charts import random_chart

Change = tuple[float, float, Chord | None, bool]


def performance_faults(take: Performance) -> Iterator[str]:
    """Yield notes that start too early, never end, or overlap on their string."""
    for part in take.parts:
        last: dict[tuple[int | None, str | None], int] = {}
        for note in part.notes:
            where = f"{part.name} at tick {note.onset_ticks}"
            if note.onset_ticks < 0 or note.onset_s < 0:
                yield f"{where}: before the start"
            if not note.onset_ticks < note.end_ticks <= take.end_ticks:
                yield f"{where}: ends at {note.end_ticks}, the take at {take.end_ticks}"
            if not 1 <= note.velocity <= 127 or not 0 <= note.pitch <= 127:
                yield f"{where}: pitch {note.pitch} velocity {note.velocity}"
            voice = (note.string, note.piece)
            if last.get(voice, 0) > note.onset_ticks:
                yield f"{where}: {voice} still sounds"
            last[voice] = note.end_ticks


def midi_faults(file: mido.MidiFile) -> Iterator[str]:
    """Yield notes stuck on, ended twice, or begun twice in a file read back."""
    for track in file.tracks:
        sounding: set[tuple[int, int]] = set()
        for message in track:
            if message.type not in {"note_on", "note_off"}:
                continue
            key = (message.channel, message.note)
            if message.type == "note_on" and message.velocity > 0:
                if key in sounding:
                    yield f"{track.name}: {key} begins twice"
                sounding.add(key)
            elif key in sounding:
                sounding.discard(key)
            else:
                yield f"{track.name}: {key} ends without a beginning"
        if sounding:
            yield f"{track.name}: stuck {sorted(sounding)}"
        if track[-1].type != "end_of_track":
            yield f"{track.name}: no end of track"


def bar_faults(score: Score, roadmap: Roadmap) -> Iterator[str]:
    """Yield bars with a chord in which chords, bass or drums do nothing."""
    for part in score.parts:
        if part.name not in {"chords", "bass", "drums"}:
            continue
        spans = [(e.onset_beats, e.onset_beats + e.duration_beats) for e in part.events]
        for bar in roadmap.bars:
            end = bar.start_beats + bar.beats
            needed = part.name == "drums" or any(slot.chord for slot in bar.slots)
            if needed and not any(start < end and stop > bar.start_beats for start, stop in spans):
                yield f"{part.name} is silent in the bar at beat {bar.start_beats}"


def bass_faults(
    part: PartScore, roadmap: Roadmap, key: Key, *, pedal: bool = False
) -> Iterator[str]:
    """Yield where a bass line breaks the rules of its trade."""
    changes = _changes(roadmap)
    notes = [event for event in part.events if isinstance(event, Pluck)]
    for note in notes:
        if not LOWEST <= note.pitch <= HIGHEST:
            yield f"{note.pitch} at {note.onset_beats} is out of range"
    for before, after in pairwise(notes):
        if before.onset_beats + before.duration_beats > after.onset_beats:
            yield f"two notes sound at {after.onset_beats}"
        if abs(after.pitch - before.pitch) > 12:
            yield f"a leap over an octave to {after.onset_beats}"
    if not pedal:
        for one, two, three in zip(notes, notes[1:], notes[2:], strict=False):
            if one.pitch == two.pitch == three.pitch:
                yield f"the same note three times at {three.onset_beats}"
    by_onset = {note.onset_beats: note for note in notes}
    for start, end, chord, enters in changes:
        inside = [n for n in notes if start <= n.onset_beats < end]
        if chord is None:
            if inside or any(
                n.onset_beats < start < n.onset_beats + n.duration_beats for n in notes
            ):
                yield f"sounds under N.C. at {start}"
            continue
        if enters and start not in by_onset:
            yield f"{chord} enters unplayed at {start}"
        elif enters:
            yield from _entry_faults(by_onset[start], chord, pedal=pedal)
        if not pedal:
            yield from _inside_faults(inside, notes, chord, key)


def _entry_faults(note: Pluck, chord: Chord, *, pedal: bool) -> Iterator[str]:
    if chord.bass:
        allowed = {chord.bass.pc}
    elif pedal:
        return
    else:
        thirds = {
            (chord.root.pc + d.semitones) % 12
            for d in chord.quality.degrees
            if d.number in {2, 3, 4}
        }
        allowed = {chord.root.pc} | thirds
    if note.pitch % 12 not in allowed:
        yield f"{chord} at {note.onset_beats} is entered on {note.pitch}"


def _inside_faults(
    inside: list[Pluck], notes: list[Pluck], chord: Chord, key: Key
) -> Iterator[str]:
    scale = scale_pcs(chord, key)
    for note in inside:
        pc = note.pitch % 12
        if pc in chord.pcs or pc == chord.bass_note.pc:
            continue
        place = notes.index(note)
        if place + 1 == len(notes):
            yield f"the line ends on a passing note at {note.onset_beats}"
            continue
        step = abs(notes[place + 1].pitch - note.pitch)
        if not 1 <= step <= (2 if pc in scale else 1):
            yield f"{note.pitch} over {chord} at {note.onset_beats} is left by {step} semitones"


def _changes(roadmap: Roadmap) -> list[Change]:
    found, before = [], None
    for bar in roadmap.bars:
        at = bar.start_beats
        for slot in bar.slots:
            enters = slot.chord is not None and slot.chord != before
            found.append((at, at + slot.beats, slot.chord, enters))
            at, before = at + slot.beats, slot.chord
    return found


OTHER_DRUMS = {"4/4": "sticks", "3/4": "ride_waltz"}


def styles_for(meter: str, seed: int) -> BandStyle:
    """Return a style that wanders over all patterns of a meter."""
    fitting = {
        kind: [
            None,
            *(
                n
                for n in pattern_names(kind)
                if load_pattern_data(kind, n).values["meter"] == meter
            ),
        ]
        for kind in ("bass", "drums")
    }
    return BandStyle(
        bass=fitting["bass"][seed % len(fitting["bass"])],
        drums=fitting["drums"][seed // 3 % len(fitting["drums"])],
        variation=seed % 5 / 4,
        density=seed % 7 / 6,
        slides=seed % 3 / 2,
        loop=seed % 4 == 0,
        feel=seed % 2,
        seed=seed,
    )


def faults_of(seed: int) -> list[str]:
    """Return everything wrong with the take of one random chart."""
    chart = parse_chart(random_chart(seed))
    voicing = voice(chart, lane="plain", grips="any")
    roadmap = unroll(chart, lane="plain", choruses=1 + seed % 2)
    style = styles_for(str(chart.meter), seed)
    score = compose_score(chart, roadmap, voicing, style)
    take = perform(score, humanize=seed % 11 / 10)
    data = midi_bytes(take, channel_per_string=seed % 2 == 1, gm2=seed % 3 == 0)
    bass = next(part for part in score.parts if part.name == "bass")
    faults = [
        *performance_faults(take),
        *midi_faults(mido.MidiFile(file=BytesIO(data))),
        *bar_faults(score, roadmap),
        *bass_faults(bass, roadmap, chart.key, pedal="bass/pedal" in bass.patterns),
    ]
    again = perform(compose_score(chart, roadmap, voicing, style), humanize=seed % 11 / 10)
    if midi_bytes(again, channel_per_string=seed % 2 == 1, gm2=seed % 3 == 0) != data:
        faults.append("the same seed gave other bytes")
    if str(chart.meter) in OTHER_DRUMS:
        other = compose_score(
            chart, roadmap, voicing, replace(style, drums=OTHER_DRUMS[str(chart.meter)], swing=None)
        )
        for before, after in zip(score.parts, other.parts, strict=True):
            if before.name != "drums" and before != after:
                faults.append(f"other drums changed {before.name}")
    return faults
