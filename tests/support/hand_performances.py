"""Performances written by hand, for the tests of the sound."""

from __future__ import annotations

import random

from porchswing.performance.model import Note, PartPerformance, Performance, TempoEvent

GCEA = (67, 60, 64, 69)
GRIPS = ((9, 10, 10, 10), (7, 8, 7, 7), (5, 6, 5, 5), (7, 7, 8, 7), (4, 5, 5, 5), (8, 7, 6, 8))


def note(onset_s: float, end_s: float, pitch: int, velocity: int = 80, **more) -> Note:
    """Return a note of a performance at 120 quarters a minute."""
    return Note(round(onset_s * 1920), round(end_s * 1920), onset_s, end_s, pitch, velocity, **more)


def performance(end_s: float, **parts: list[Note]) -> Performance:
    """Return a performance of parts by name, at 120 quarters a minute."""
    instruments = {"chords": "ukulele", "bass": "bass", "drums": "kit", "count": "clicks"}
    return Performance(
        title="by hand",
        parts=tuple(
            PartPerformance(
                name,
                instruments.get(name, "ukulele"),
                tuple(sorted(notes, key=lambda one: one.onset_s)),
            )
            for name, notes in parts.items()
        ),
        tempo_events=(TempoEvent(0, 500_000, 0.0),),
        marks=(),
        end_ticks=round(end_s * 1920),
        end_s=end_s,
    )


def band(seconds: float, seed: int = 1, tempo_bpm: float = 132.0, loudness: int = 70):
    """Return a small band strumming, walking and brushing for so many seconds."""
    dice, beat_s = random.Random(f"band/{seed}"), 60.0 / tempo_bpm
    chords, bass, drums = [], [], []
    for beat in range(int(seconds / beat_s)):
        at_s = beat * beat_s
        for offset, weight in ((0.0, 1.0), (0.64, 0.7)):
            if offset and dice.random() < 0.4:
                continue
            for place, (fret, open_note) in enumerate(zip(GRIPS[beat // 2 % 6], GCEA, strict=True)):
                onset_s = at_s + offset * beat_s + 0.006 * place
                velocity = max(1, min(127, round(loudness * weight + dice.uniform(-9, 9))))
                chords.append(
                    note(
                        onset_s,
                        at_s + (offset + 0.5) * beat_s,
                        open_note + fret,
                        velocity,
                        string=4 - place,
                        fret=fret,
                        touch="chuck" if offset and beat % 2 else "damp",
                    )
                )
        bass.append(note(at_s, at_s + 0.9 * beat_s, dice.randint(33, 48), loudness))
        drums.append(note(at_s, at_s + 0.2, 51, loudness, piece="ride"))
        if beat % 2:
            drums.append(note(at_s, at_s + 0.1, 44, loudness, piece="hat_pedal"))
        drums.append(note(at_s, at_s + 0.9 * beat_s, 40, loudness // 2, piece="brush_sweep"))
    return performance(seconds, chords=chords, bass=bass, drums=drums)
