"""The beats of a meter: what a tempo counts, and what is clicked."""

from __future__ import annotations

from fractions import Fraction

import pytest

from porchswing.chart.model import Meter


@pytest.mark.parametrize(
    ("meter", "felt", "clicked"),
    [
        ((4, 4), 1, 1),
        ((3, 4), 1, 1),
        ((6, 8), Fraction(3, 2), Fraction(3, 2)),
        ((3, 8), 1, Fraction(1, 2)),
        ((5, 8), 1, Fraction(1, 2)),
    ],
)
def test_a_tempo_counts_quarters_and_odd_meters_click_eighths(meter, felt, clicked):
    assert (Meter(*meter).felt_beats, Meter(*meter).click_beats) == (felt, clicked)
