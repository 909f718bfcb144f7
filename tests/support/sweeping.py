"""Thousands of random tunes at random depths, drawn from a seed, for the sweeps of the bench."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import HealthCheck, Phase, given, seed, settings, strategies as st

from porchswing.chart.model import Chart
from support.strategies import tunes


def sweep(count: int, start: int, look: Callable[[Chart, int], None]) -> None:
    """Show ``count`` tunes of a seed to a function, each with a depth, 1 to 4.

    The same seed draws the same tunes; nothing is shrunk or kept.
    """

    @seed(start)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(tunes(), st.integers(1, 4))
    def drawn(chart: Chart, depth: int) -> None:
        look(chart, depth)

    drawn()
