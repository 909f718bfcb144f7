"""The cheapest way with few shapes is the cheapest there is: every set of shapes is tried."""

from __future__ import annotations

import random
from itertools import combinations

import numpy as np
import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import GripError
from porchswing.grips.search.form_voicing import lay_out
from porchswing.grips.search.shape_search import ShapeSearch, few_shapes
from porchswing.grips.search.voice import request_of, voice
from porchswing.grips.shapes.hand import read_ease
from porchswing.grips.shapes.model import shape_of

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "G", "Ab", "A", "Bb")
SUFFIXES = ("7", "9", "m7", "6", "maj7", "m6")


def small_searches(count):
    """Short progressions in a narrow window: few enough shapes to try every set of them."""
    rng = random.Random("few shapes")
    while count:
        chords = [rng.choice(ROOTS) + rng.choice(SUFFIXES) for _ in range(5)]
        chart = parse_chart("[A]\n| " + " | ".join(chords) + " |")
        low = rng.randint(1, 6)
        try:
            layout = lay_out(request_of(chart, frets=(low, low + 4)))
        except GripError:
            continue  # no grip in so narrow a window
        search = ShapeSearch.of(layout)
        if 4 <= len(search.shapes) <= 14:
            count -= 1
            yield chords, search


def cheapest(search, most):
    """The least cost over every set of so many shapes."""
    best = None
    for shapes in combinations(range(len(search.shapes)), most):
        allowed = np.zeros(len(search.shapes), bool)
        allowed[list(shapes)] = True
        found = search.within(allowed)
        if found is not None and (best is None or found[0] < best):
            best = found[0]
    return best


def test_few_shapes_equal_every_set_of_shapes():
    proven = 0
    for chords, search in small_searches(12):
        for most in range(1, min(5, len(search.shapes)) + 1):
            way = few_shapes(search, most, tries=2000)
            assert (way.cost if way else None) == cheapest(search, most), (chords, most)
            if way is not None:
                assert way.is_proven
                assert len(way.shapes) <= most
                assert search.layout.network.cost(way.choice) == way.cost
                proven += 1
    assert proven > 20


def test_a_budget_of_tries_that_ends_is_said():
    for _, search in small_searches(12):
        way = few_shapes(search, 2, tries=1)
        exact = few_shapes(search, 2, tries=2000)
        if way is not None and exact is not None:
            assert way.cost >= exact.cost
            assert way.cost == exact.cost or not way.is_proven


def test_short_tunes_get_the_tries_that_a_proof_takes():
    chart = parse_chart(
        "[A]\n| G6 | G6/9 | C6 | G#dim7 | D9 | Am7 D9 | G6 | % |\n"
        "| Em7 | Bm7 | Am7 | E9 | D9 | % | G6 | % |"
    )
    search = ShapeSearch.of(lay_out(request_of(chart)))
    hundred, enough = few_shapes(search, 5, tries=100), few_shapes(search, 5)
    assert not hundred.is_proven
    assert enough.is_proven
    assert enough.cost < hundred.cost


TUNE = "[A]\n| C6 A7 | Dm7 G7 | C6 | F6 Fm6 | C6 G7 | C6 |"


def test_known_shapes_and_new_ones_keep_within_the_profile():
    chart = parse_chart(TUNE)
    free = {shape_of(slot.grip) for slot in voice(chart).slots}
    assert len(free) > 4
    few = voice(chart, ease=read_ease("[shapes]\nnew = 4"))
    assert len({shape_of(slot.grip) for slot in few.slots}) <= 4
    known = read_ease('[shapes]\nknown = ["5555", "7678"]\nnew = 2')
    shapes = {shape_of(slot.grip).frets for slot in voice(chart, ease=known).slots}
    assert len(shapes - {(0, 0, 0, 0), (1, 0, 1, 2)}) <= 2


def test_too_few_new_shapes_say_how_many_would_do():
    with pytest.raises(GripError, match=r"no way with 0 new shapes .* try new = \d"):
        voice(parse_chart(TUNE), ease=read_ease("[shapes]\nnew = 0"))
