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
    """Return ``count`` clicks, one each felt beat, and nothing else.

    The felt beat is a quarter, a dotted quarter in compound meters, the meter's own unit in
    other meters of eighths.
    """
    beat = felt_beat(meter)
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


def felt_beat(meter: Meter) -> Fraction:
    """Return the felt beat in quarters.

    >>> felt_beat(Meter(6, 8))
    Fraction(3, 2)
    """
    return Fraction(3, 2) if meter.is_compound else meter.unit_beats
