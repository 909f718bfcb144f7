"""The count-in: how a leader counts a band in, by meter and tempo.

Common practice (no source): up-tempo two bars, "one – two – | one two three four", the first in
half time; when the tune is slow, one bar with every beat. Three-four, two-four and six-eight
likewise: the first bar on its strong beats, the last one on every beat.
"""

from __future__ import annotations

from fractions import Fraction

from porchswing.band.score import Hit, Label, PartScore
from porchswing.chart.model import Meter
from porchswing.errors import OptionError

ONE_BAR_BELOW_BPM = {"4/4": 100.0, "3/4": 100.0, "2/4": 80.0, "6/8": 60.0}
"""Felt tempo below which one bar is enough (our figures for "slow")."""

USUAL_ONE_BAR_BELOW_BPM = 100.0
STRONG_UNITS = {"4/4": (0, 2), "3/4": (0,), "2/4": (0,), "6/8": (0, 3), "12/8": (0, 6)}
"""Units of the bar counted in half time, from 0."""

MAX_BARS = 16
"""No leader counts longer."""

FIRST_CLICK, OTHER_CLICK = ("click_high", 0.85), ("click_low", 0.65)
"""The sound of a count and its velocity: on one, and on every other beat."""


def usual_bars(meter: Meter, tempo_bpm: float) -> int:
    """Return how many bars a leader counts: two, or one when slow; ``tempo_bpm`` is felt.

    >>> usual_bars(Meter(4, 4), 140), usual_bars(Meter(4, 4), 66)
    (2, 1)
    """
    return 1 if tempo_bpm < ONE_BAR_BELOW_BPM.get(str(meter), USUAL_ONE_BAR_BELOW_BPM) else 2


def count_hits(
    meter: Meter, bars: int, start_beats: Fraction
) -> tuple[tuple[Hit, ...], tuple[Label, ...]]:
    """Return the clicks and the spoken numbers of a count of ``bars`` bars.

    ``start_beats`` is where the count begins: before the first bar, or before any bar of a
    loop. All bars but the last are in half time.
    """
    hits: list[Hit] = []
    labels: list[Label] = []
    for bar in range(bars):
        every_unit = bar == bars - 1
        units = range(meter.count) if every_unit else _strong_units(meter)
        for said, unit in enumerate(units, start=1):
            onset = start_beats + bar * meter.bar_beats + unit * meter.unit_beats
            piece, velocity = FIRST_CLICK if unit == 0 else OTHER_CLICK
            hits.append(Hit(onset, piece, velocity, meter.unit_beats / 2))
            labels.append(Label(onset, "count", str(unit + 1 if every_unit else said)))
    return tuple(hits), tuple(labels)


def count_part(
    meter: Meter, tempo_bpm: float, bars: int | None = None
) -> tuple[PartScore, tuple[Label, ...]]:
    """Return the count-in before beat 0 and its spoken numbers; ``bars`` None is the usual."""
    bars = usual_bars(meter, tempo_bpm) if bars is None else bars
    if not 0 <= bars <= MAX_BARS:
        raise OptionError(f"a count-in has from 0 to {MAX_BARS} bars, got {bars}")
    hits, labels = count_hits(meter, bars, -bars * meter.bar_beats)
    return PartScore(name="count", events=hits, instrument="count"), labels


def _strong_units(meter: Meter) -> tuple[int, ...]:
    usual = tuple(range(0, meter.count - 1, 3 if meter.is_compound else 2))
    return STRONG_UNITS.get(str(meter), usual or (0,))
