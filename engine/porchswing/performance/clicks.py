"""Clicks between two takes: a moment to listen, and the pulse of what comes next."""

from __future__ import annotations

from fractions import Fraction

from porchswing.band.score import Hit, PartScore, Score
from porchswing.chart.model import Meter
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from porchswing.rhythm.tempo import TempoMap, TempoSegment

CLICK_VELOCITY = 0.75


def clicks(meter: Meter, quarter_bpm: float, count: int = 2) -> Performance:
    """Return ``count`` clicks, one each beat that the meter clicks, and nothing else."""
    beat = meter.click_beats
    hits = tuple(
        Hit(number * beat, "click_low", CLICK_VELOCITY, beat / 2) for number in range(count)
    )
    score = Score(
        title="clicks",
        parts=(PartScore("count", hits, instrument="count"),),
        tempo_map=TempoMap((TempoSegment(Fraction(0), quarter_bpm, 1.0),)),
        labels=(),
        count_in_beats=Fraction(0),
        end_beats=count * beat,
        meter=(meter.count, meter.unit),
    )
    return perform(score, humanize=0.0)
