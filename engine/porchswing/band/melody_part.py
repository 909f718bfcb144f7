"""The melody part: the chart's melody lane as written, for those who ask to hear it."""

from __future__ import annotations

from porchswing.band.score import PartScore, Pluck
from porchswing.chart.roadmap import Roadmap

MELODY_VELOCITY = 0.7


def melody_part(roadmap: Roadmap) -> PartScore:
    """Return the melody lane of every played bar; empty where the chart has none."""
    events: list[Pluck] = []
    for bar in roadmap.bars:
        at = bar.start_beats
        for note in bar.melody:
            if note.pitch is not None:
                events.append(Pluck(at, note.beats, note.pitch, MELODY_VELOCITY))
            at += note.beats
    return PartScore(name="melody", events=tuple(events), instrument="melody")
