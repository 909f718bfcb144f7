"""Stretches: like phrases, what a last time differs in, what an alternative leaves alone."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.harmony.choice.cells import REACH
from porchswing.harmony.choice.fit_sections import (
    Stretch,
    _again,
    _usual,
    find_stretches,
    like_places,
)
from porchswing.harmony.choice.reharmonize import with_last_time
from porchswing.harmony.passage.flow import flow_of
from porchswing.harmony.swaps.catalogue import rows_for
from support.lanes import short_chart


def found_in(chart: Chart, depth: int = 2) -> list[Stretch]:
    return find_stretches(chart, flow_of(chart), lambda name: (depth, rows_for(depth)), ())


def test_phrases_are_alike_by_two_chords_and_their_lengths() -> None:
    part = found_in(short_chart("| C | F | G7 | Am | C | F | G7 Am | C F | Dm |"))[0]
    assert like_places(part.passage) == {4: 0}


@pytest.mark.parametrize(("between", "alike"), [(6, True), (7, False)])
def test_a_phrase_is_remembered_for_eight_bars(between: int, alike: bool) -> None:
    others = "".join(
        f"| {chord} " for chord in ("Am", "Dm", "Em", "A7", "D7", "E7", "Bb")[:between]
    )
    part = found_in(short_chart(f"| C | F {others}| C | F | G7 |"))[0]
    assert (like_places(part.passage).get(between + 2) == 0) is alike


def test_what_is_as_at_the_other_times_costs_a_last_time_nothing() -> None:
    """Its last chords have another way out, so their cells are made anew; they are the same."""
    bars = "| C | Am | Dm | G7 | C | A7 | D7 | G7 | Em | A7 | Dm | G7 |"
    usual, last = found_in(with_last_time(parse_chart(f"key: C\n[A]\n{bars}\n")))
    assert last.base is usual
    assert len(usual.chosen) > 2 * REACH
    price = _usual(last)
    assert price is not None
    assert [price(cell) for cell in last.chosen] == [0.0] * len(last.chosen)
    assert all(price(cell) > 0 for cell in last.cells if cell.rows)


def test_an_alternative_remembers_the_swaps_of_those_before_it_alone() -> None:
    part = found_in(short_chart("| C | A7 | Dm | G7 |"))[0]
    swapped = next(cell for cell in part.cells if cell.rows and cell.start == 0)
    spot = (0, tuple(step.chord for step in swapped.steps))
    part.chosen = (swapped, *(cell for cell in part.chosen if cell.start >= swapped.stop))
    part.remember()
    assert part.taken == {spot: 1}
    part.remember()
    assert part.taken == {spot: 2}


def test_only_a_swap_put_in_again_at_a_like_spot_costs_more() -> None:
    part = found_in(short_chart("| C | A7 | Dm | G7 | C | A7 | Dm | G7 |"))[0]
    first = next(cell for cell in part.cells if cell.rows and not cell.start)
    lane = (first, *(cell for cell in part.chosen if cell.start >= first.stop))
    price = _again(part, lane)
    sounds = [step.chord for step in first.steps]
    again = [
        cell
        for cell in part.cells
        if cell.start == 4 and [step.chord for step in cell.steps] == sounds
    ]
    assert again
    assert all(price(cell) > 0 for cell in again)
    assert all(price(cell) == 0 for cell in part.cells if not cell.rows or cell.start == 0)
