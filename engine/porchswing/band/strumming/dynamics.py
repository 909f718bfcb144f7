"""How loud each stroke is: the pattern's own loudness, the phrase, and the lean on 2 and 4."""

from __future__ import annotations

from porchswing.band.strumming.right_hand import BarPlan, PlacedStroke

FULL_BACKBEAT = 0.22
"""How much louder 2 and 4 are than 1 and 3 when the backbeat is 1."""

LOUDNESS_RANGE = (0.06, 1.0)


def loudness_of(move: PlacedStroke, plan: BarPlan, backbeat: float | None) -> float:
    """Return the velocity, 0 to 1, of a move made in a bar.

    ``backbeat`` from 0 to 1 overrules the pattern's own; in meters of three the lean is on
    every beat but the first, in n/8 there is none.
    """
    lean = 0.0
    share = plan.pattern.backbeat if backbeat is None else backbeat
    if share and plan.pattern.meter.unit == 4:
        inside = move.onset_beats - plan.start_beats
        if inside.denominator == 1:
            is_even = plan.pattern.meter.count % 2 == 0
            leans = inside.numerator % 2 == 1 if is_even else inside > 0
            lean = FULL_BACKBEAT * share * (0.5 if leans else -0.5)
    low, high = LOUDNESS_RANGE
    return round(min(high, max(low, move.cell.loudness + plan.energy + lean)), 4)
