"""The path found is the best there is: proof by trying every other one."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import LineTarget
from porchswing.chart.unroll import unroll
from porchswing.grips.search.network import NARROW_COSTS, Elimination, Network, eliminate
from porchswing.grips.search.search import best_choices, blocks, least_costs
from porchswing.grips.shapes.hand import CLOSED_HAND
from porchswing.grips.shapes.tunings import tuning
from support.exhaustive_grips import Exhaustive, steps
from support.made import voice_roadmap

UKE = tuning("gCEA")
FORMS = ("A", "A A", "A B", "A A B A", "A B A B")
SUFFIXES = ("7", "7", "9", "m7", "6", "maj7", "m6", "dim7", "", "m")
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
MOST_WAYS = 400
TUNINGS = tuple(tuning(name) for name in ("gCEA", "GCEA", "DGBE", "GDAE"))


def random_chart(rng: random.Random) -> str:
    """A chart of two short sections, some with a repeat, some a chain of dominants."""
    form = rng.choice(FORMS)
    text = [f"form: {form}"]
    for name in sorted(set(form.split())):
        count = rng.choice((2, 3, 4)) if "B" not in form else rng.choice((1, 2, 3))
        if rng.random() < 0.3:
            start = rng.randrange(12)
            chords = [f"{ROOTS[(start + 5 * n) % 12]}{rng.choice('79')}" for n in range(count)]
        else:
            chords = [rng.choice(ROOTS) + rng.choice(SUFFIXES) for _ in range(count)]
        bars = " | ".join(chords)
        text += [f"[{name}]", f"|: {bars} :|" if rng.random() < 0.25 else f"| {bars} |"]
    return "\n".join(text)


def small_problems(count: int):
    """Yield random problems small enough to try every way."""
    rng = random.Random("small problems")
    while count:
        text = random_chart(rng)
        chords = [s.chord for sec in parse_chart(text).sections for b in sec.plain for s in b.slots]
        if any(one == other for one, other in pairwise(chords)):
            continue  # a repeated chord is one run; the reference walks slot by slot
        low = rng.randint(1, 6)
        frets = (low, low + rng.choice((3, 4, 5)))
        road = unroll(parse_chart(text))
        loop = rng.random() < 0.3
        strings = TUNINGS[count % len(TUNINGS)]
        reference = Exhaustive(road, strings, CLOSED_HAND, frets=frets, loop=loop)
        if 2 <= reference.size <= MOST_WAYS:
            count -= 1
            yield text, road, frets, loop, reference


def as_choice(voicing):
    return {(s.section, s.bar, s.slot): (s.chord, s.grip) for s in voicing.slots}


def check_best(road, reference, best, **choices):
    """The voicings are the cheapest different choices, each with its true cost."""
    every = reference.least()
    ways = voice_roadmap(road, reference.tuning, best=best, **choices)
    costs = [steps(way.cost) for way in ways]
    assert costs == every[:best]
    assert [reference.cost(as_choice(way)) for way in ways] == costs
    assert len({str(as_choice(way)) for way in ways}) == len(ways)


def test_equals_exhaustive_search_on_200_random_progressions_in_four_tunings():
    for text, road, frets, loop, reference in small_problems(200):
        try:
            check_best(road, reference, 5, frets=frets, loop=loop)
        except AssertionError as error:
            raise AssertionError(f"{text}\nfrets {frets}, loop {loop}") from error


def test_the_reference_tries_every_line():
    checked = 0
    for _, _, _, _, reference in small_problems(60):
        choice = next(reference.choices())
        for section in {place[0] for place in reference.places}:
            onward = [
                (a, b, t)
                for (a, b), t in reference.pairs.items()
                if a[0] == b[0] == section and a[1:] < b[1:]
            ]
            if len(onward) <= 3:
                checked += 1
                assert reference._lines(choice, onward) == reference.every_line(choice, onward)
    assert checked > 30


REAL = {
    "bridge of four dominants": ("[A]\n| E7 | A9 | D7 | G9 |", (4, 9)),
    "twelve-bar blues": (
        "[A]\n| Bb7 | Eb7 | Bb7 | Eb9 | Edim7 | Bb6 | G7 |",
        (2, 6),
    ),
    "two five one, twice, and home": (
        "form: A A\n[A]\n| Dm7 G7 | Cmaj7 A7 | Dm7 G9 | C6 |",
        (3, 7),
    ),
    "line cliché in minor": ("[A]\n| Cm | Cm(maj7) | Cm7 | Cm6 | Fm7 | Bb7 |", (2, 7)),
    "ending on the tonic": ("[A]\n| C C7 | F F#dim7 | C/G G7 | C |", (3, 7)),
}


SLOW = "twelve-bar blues"
"""Ten times as long as the others together: the random progressions ask the same."""


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=pytest.mark.slow if n == SLOW else ()) for n in REAL]
)
def test_equals_exhaustive_search_on_real_progressions(name):
    text, frets = REAL[name]
    road = unroll(parse_chart(text))
    reference = Exhaustive(road, UKE, CLOSED_HAND, frets=frets)
    assert 100 < reference.size < 40_000
    check_best(road, reference, 8, frets=frets)


@pytest.mark.parametrize(
    ("target", "ways"),
    [
        (LineTarget(4, "down"), ((0, -1),)),
        (LineTarget(1, None), ((3, -1), (3, 1))),
        (LineTarget(), tuple((i, way) for i in range(4) for way in (-1, 1))),
    ],
)
def test_a_line_asked_for_is_exact_too(target, ways):
    text = "form: A A B\n[A]\n| E7 | A9 | D7 |\n[B]\n| Gm7 | C9 |"
    road = unroll(parse_chart(text))
    reference = Exhaustive(road, UKE, CLOSED_HAND, frets=(4, 9), line=ways)
    check_best(road, reference, 5, frets=(4, 9), line=target)


def test_other_hands_are_exact_too():
    hand = replace(CLOSED_HAND, max_stretch=2, region=(5, 7))
    road = unroll(parse_chart("[A]\n| C6 | A9 | Dm7 | G7 | C | Am7 |"))
    reference = Exhaustive(road, UKE, hand, frets=(3, 7))
    assert reference.size > 100
    check_best(road, reference, 6, hand=hand, frets=(3, 7))


def test_first_and_second_endings_are_exact_too():
    road = unroll(parse_chart("[A]\n|: C7 | F9 |1 Bb7 :|2 Dm7 |"))
    reference = Exhaustive(road, UKE, CLOSED_HAND, frets=(4, 10))
    assert reference.size > 100
    check_best(road, reference, 6, frets=(4, 10))


def every_choice(network):
    return np.ndindex(*network.sizes)


def random_network(rng: random.Random) -> Network:
    """Any tangle of costs over one, two or three variables."""
    network = Network()
    for _ in range(rng.randint(2, 6)):
        network.variable(rng.randint(1, 4))
    count = len(network.sizes)
    for _ in range(rng.randint(1, 9)):
        scope = rng.sample(range(count), k=min(count, rng.choice((1, 2, 2, 3))))
        shape = [network.sizes[v] for v in scope]
        values = [rng.randint(0, 9) for _ in range(int(np.prod(shape)))]
        loose = rng.random() < 0.3
        network.add(scope, np.array(values, np.int64).reshape(shape), loose=loose)
    return network


def test_any_network_is_solved_as_by_exhaustion():
    rng = random.Random("networks")
    for _ in range(300):
        network = random_network(rng)
        every = sorted(network.cost(choice) for choice in every_choice(network))
        decided = {v: np.arange(size) for v, size in enumerate(network.sizes)}
        found = best_choices(network, decided, 7).choices
        assert [network.cost(choice) for _, choice in found] == [cost for cost, _ in found]
        assert [cost for cost, _ in found] == every[:7]
        assert len({choice for _, choice in found}) == len(found)


@pytest.mark.parametrize("count", [1, 4])
def test_bounds_change_nothing(monkeypatch, count):
    """The same answers where every table is thought too large and bounds must help."""
    monkeypatch.setattr("porchswing.grips.search.search.EASY_TABLE", 1)
    monkeypatch.setattr("porchswing.grips.search.search.EASY_ONCE", 1)
    monkeypatch.setattr("porchswing.grips.search.search.FIRST_OPTIONS", (2, 1))
    rng = random.Random("bounds")
    for _ in range(300):
        network = random_network(rng)
        every = sorted(network.cost(choice) for choice in every_choice(network))
        ranking = best_choices(
            network, {v: np.arange(size) for v, size in enumerate(network.sizes)}, count
        )
        found = ranking.choices
        assert ranking.is_proven
        assert [cost for cost, _ in found] == every[:count]


@pytest.mark.parametrize("scale", [1, 10**8])
def test_costs_beyond_half_width_are_counted_exactly(scale):
    """Some networks of the large costs fit in 32 bits and some do not."""
    rng = random.Random("wide")
    fitting = 0
    for _ in range(100):
        small = random_network(rng)
        network = Network(list(small.sizes))
        for factor in small.factors:
            network.add(factor.variables, factor.costs.astype(np.int64) * scale)
        fitting += network.most <= NARROW_COSTS
        every = sorted(network.cost(choice) for choice in every_choice(network))
        found = best_choices(network, {v: np.arange(n) for v, n in enumerate(network.sizes)}, 3)
        assert [cost for cost, _ in found.choices] == every[:3]
    assert fitting == 100 if scale == 1 else 0 < fitting < 100


@pytest.mark.parametrize(("beyond", "width"), [(0, np.int32), (1, np.int64)])
def test_tables_are_wide_only_where_a_choice_can_cost_more_than_narrow_ones_hold(beyond, width):
    network = Network()
    for costs in ([0, NARROW_COSTS - 5], [0, 5 + beyond]):
        network.add([network.variable(2)], np.array(costs, np.int64))
    assert network.most == NARROW_COSTS + beyond
    steps: list[Elimination] = []
    assert eliminate(network, (0, 1), {}, steps) == (0, (0, 0))
    assert {step.costs.dtype for step in steps} == {np.dtype(width)}


def test_least_costs_are_bounds_and_exact_without_loose_ties():
    rng = random.Random("least")
    for _ in range(200):
        network = random_network(rng)
        tight = not any(factor.loose for factor in network.factors)
        least = least_costs(network)
        for v, size in enumerate(network.sizes):
            for option in range(size):
                true = min(network.cost(c) for c in every_choice(network) if c[v] == option)
                assert least[v][option] <= true
                assert not tight or least[v][option] == true


def test_best_choices_differ_in_the_decisions():
    network = Network()
    first, aside = network.variable(3), network.variable(3)
    network.add([first, aside], np.arange(9, dtype=np.int64).reshape(3, 3))
    found = best_choices(network, {first: np.arange(3)}, 9).choices
    assert [choice[first] for _, choice in found] == [0, 1, 2]
    assert [cost for cost, _ in found] == [0, 3, 6]


def test_a_tangled_network_gets_a_good_choice_and_says_it_is_not_proven(monkeypatch):
    monkeypatch.setattr("porchswing.grips.search.search.EASY_TABLE", 1)
    monkeypatch.setattr("porchswing.grips.search.search.EASY_ONCE", 1)
    monkeypatch.setattr("porchswing.grips.search.search.MAX_TABLE", 30)
    rng = random.Random("tangle")
    network = Network()
    names = [network.variable(6) for _ in range(5)]
    for one in names:
        for other in names[:one]:
            costs = np.array([[rng.randint(0, 99) for _ in range(6)] for _ in range(6)], np.int64)
            network.add([other, one], costs, loose=True)
    ranking = best_choices(network, {v: np.arange(6) for v in names}, 1)
    ((cost, choice),) = ranking.choices
    assert not ranking.is_proven
    assert network.cost(choice) == cost
    single = min(
        network.cost((*choice[:v], option, *choice[v + 1 :])) for v in names for option in range(6)
    )
    assert single == cost  # no single grip changed makes it cheaper


def test_blocks_are_what_tight_factors_connect():
    network = Network()
    a, b, c, d = (network.variable(2) for _ in range(4))
    ones = np.ones((2, 2), np.int64)
    network.add([a, c], ones)
    network.add([c, b], ones, loose=True)
    network.add([b, d], ones)
    assert blocks(network) == (frozenset({a, c}), frozenset({b, d}))


def test_a_tune_of_many_sections_is_voiced():
    rng = random.Random("medley")
    names = [chr(65 + n) for n in range(20)]
    text = ["form: " + " ".join(rng.choice(names) for _ in range(60))]
    for name in names:
        bars = " | ".join(rng.choice(ROOTS) + rng.choice(SUFFIXES) for _ in range(3))
        text += [f"[{name}]", f"| {bars} |"]
    (voicing,) = voice_roadmap(unroll(parse_chart("\n".join(text))), UKE)
    assert all(slot.grip for slot in voicing.slots)
