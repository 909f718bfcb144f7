"""Where the chords of a span start: on bars, then on the strong places inside them."""

from __future__ import annotations

import pytest

from porchswing.harmony.passage.cutting import bar_edges, cut, cut_each_bar
from porchswing.harmony.passage.steps import BarSpan, Passage

FOUR_BARS = Passage(
    (), tuple(BarSpan("A", n, 96 * n, 96, ()) for n in range(4)), 24, 0.5, starts=(0, 96, 192, 288)
)


@pytest.mark.parametrize(
    ("count", "front", "lengths"),
    [
        (1, False, [384]),
        (3, False, [192, 96, 96]),
        (4, False, [96, 96, 96, 96]),
        (5, False, [96, 96, 96, 48, 48]),
        (5, True, [48, 48, 96, 96, 96]),
        (16, False, [24] * 16),
        (20, False, None),
    ],
)
def test_a_span_is_cut_on_bars_first(count: int, front: bool, lengths: list[int] | None) -> None:
    assert cut(FOUR_BARS, 0, 384, count, front=front) == lengths


def test_a_span_that_starts_inside_a_bar_ends_that_bar_first() -> None:
    assert bar_edges(FOUR_BARS, 48, 288) == [48, 96, 192, 288]
    assert cut(FOUR_BARS, 48, 288, 3) == [48, 96, 96]


def test_each_bar_may_say_how_many_chords_it_takes() -> None:
    assert cut_each_bar(FOUR_BARS, 0, 192, (1, 2)) == [96, 48, 48]
    assert cut_each_bar(FOUR_BARS, 0, 192, (1, 2, 1)) is None
