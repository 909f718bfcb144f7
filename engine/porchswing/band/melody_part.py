"""The melody part: the chart's melody lane as written, for those who ask to hear it."""

from __future__ import annotations

from porchswing.band.score import PartScore, Pluck
from porchswing.chart.roadmap import Roadmap, with_onsets

MELODY_VELOCITY = 0.7


def melody_part(roadmap: Roadmap) -> PartScore:
    """Return the melody lane of every played bar; empty where the chart has none."""
    events = tuple(
        Pluck(at, note.beats, note.pitch, MELODY_VELOCITY)
        for bar in roadmap.bars
        for at, note in with_onsets(bar.melody, bar.start_beats)
        if note.pitch is not None
    )
    return PartScore(name="melody", events=events, instrument="melody")
