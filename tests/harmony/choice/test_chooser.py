"""The search is exact: it equals trying everything."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.chart.unroll import unroll
from porchswing.harmony.choice.cell_edges import CellEdges, Edge, entry
from porchswing.harmony.choice.cells import Cell
from porchswing.harmony.choice.chooser import UNMET, choose, lane_points, leaving_points
from porchswing.harmony.choice.colouring import Worn, choose_colours, line_points
from porchswing.harmony.choice.fit_sections import Stretch, find_stretches
from porchswing.harmony.passage.flow import read_flow
from porchswing.harmony.passage.paths import Arc, best_way
from porchswing.harmony.passage.steps import BarSpan, Passage, Step, agree, chord, needs
from porchswing.harmony.swaps.catalogue import rows_for
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName
from porchswing.theory.symbols import parse_chord
from support.lanes import short_chart


def meet(seed: int, left: int, right: int) -> float | None:
    worth = Random(f"meet/{seed}/{left}/{right}").randint(-4, 6)
    return None if worth == 6 else float(worth)


def every_way(length: int, arcs: list[Arc], place: int = 0) -> list[tuple[Arc, ...]]:
    if place == length:
        return [()]
    return [
        (arc, *rest)
        for arc in arcs
        if arc.start == place
        for rest in every_way(length, arcs, arc.stop)
    ]


def points(seed: int, way: tuple[Arc, ...]) -> float | None:
    total = sum(arc.points for arc in way)
    for left, right in pairwise(way):
        worth = meet(seed, left.exit, right.entry)  # type: ignore[arg-type]
        if worth is None:
            return None
        total += worth
    return total


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 5))
def test_equals_trying_everything(seed: int, length: int) -> None:
    random = Random(f"ways/{seed}")
    arcs = []
    for start in range(length):
        for _ in range(random.randint(1, 4)):
            stop = random.randint(start + 1, length)
            arcs.append(
                Arc(
                    start,
                    stop,
                    random.randint(-3, 5),
                    random.randint(0, 3),
                    random.randint(0, 3),
                    "",
                )
            )
    known = [p for way in every_way(length, arcs) if (p := points(seed, way)) is not None]
    found = best_way(length, arcs, lambda a, b: meet(seed, a, b))
    if not known:
        assert found is None
    else:
        assert found is not None
        assert points(seed, found) == max(known)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_colours_equal_trying_everything(seed: int) -> None:
    random = Random(f"colours/{seed}")
    key = Key.parse("C")
    options, steps = [], []
    for place in range(4):
        root = random.choice([NoteName.parse(n) for n in ("C", "F", "G", "A", "D")])
        suffixes = random.sample(["", "6", "6/9", "7", "9", "13", "m7", "7b9"], 3)
        worn = [
            Worn(Step(chord(root, s), 24 * place, 24, key), random.randint(0, 6) / 4)
            for s in suffixes
        ]
        options.append(worn)
        steps.append(worn[0].step)
    span = BarSpan("A", 0, 0, 96, ())
    part = Passage(tuple(steps), (span,), 24, 0.5, starts=(0,))
    chosen = choose_colours(part, options)
    best = max(
        best_line([worn.step for worn in pick]) + sum(worn.points for worn in pick)
        for pick in product(*options)
    )
    picked = sum(
        next(w.points for w in worn if w.step == step)
        for worn, step in zip(options, chosen, strict=True)
    )
    assert abs(best_line(list(chosen)) + picked - best) < 1e-6


def best_line(steps: list[Step]) -> float:
    """Return the best line by trying every note of every chord, roots excepted."""
    choices = []
    for step in steps:
        assert step.chord is not None
        choices.append(
            [
                ((step.chord.root.pc + d.pc) % 12, 0.1 if d.number != 5 or d.alter else 0.0)
                for d in step.chord.quality.degrees
                if d.number != 1
            ]
        )
    return max(
        sum(bonus for _, bonus in line) + sum(line_points(a[0], b[0]) for a, b in pairwise(line))
        for line in product(*choices)
    )


@pytest.mark.parametrize(
    "bars", ["| C | A7 | Dm | G7 |", "| Em Am | Dm | G7 | C |", "| F | C Am | G7 | C |"]
)
@pytest.mark.parametrize("depth", [3, 4])
def test_the_lane_equals_trying_every_lane(bars: str, depth: int) -> None:
    """No other row of cells that meet weighs more: the whole lane is best, not bar by bar."""
    chart = short_chart(bars, tempo=100, ending="| C |")
    flow = read_flow(chart, unroll(chart, lane="plain", choruses=2))
    part = find_stretches(chart, flow, lambda name: (depth, rows_for(depth)), ())[0]
    chosen = choose(part.passage, part.cells, part.cell_edges)
    assert chosen is not None
    lanes = list(_lanes(part, 0, ()))
    assert len(lanes) > 40
    worth = [
        lane_points(lane) - price for lane in lanes if (price := _unmet(part, lane)) is not None
    ]
    own = _unmet(part, chosen)
    assert own is not None
    assert abs(lane_points(chosen) - own - max(worth)) < 1e-6


def _unmet(part: Stretch, lane: tuple[Cell, ...]) -> float | None:
    """Return the price of the lane's soft needs: 1.2 for all ways out, none for over half."""
    last, weights = lane[-1].steps[-1], part.passage.weights
    unmet = sum(
        weight
        for way, weight in zip(part.passage.exits, weights, strict=True)
        if not all(need.met(way.chord if way else None) for need in last.after if need.soft)
    )
    share = unmet / sum(weights)
    return None if share > 0.5 else 1.2 * share


def _lanes(part: Stretch, place: int, lane: tuple[Cell, ...]) -> Iterator[tuple[Cell, ...]]:
    """Yield every row of cells whose neighbours and edges agree."""
    if place == len(part.passage.steps):
        last = lane[-1].steps[-1]
        hard = last._replace(after=tuple(need for need in last.after if not need.soft))
        if all(agree(hard, way) for way in part.passage.exits):
            yield lane
        return
    for cell in part.cells:
        if cell.start != place:
            continue
        befores = [lane[-1].steps[-1]] if lane else [w for w in part.passage.entries if w]
        if all(agree(before, cell.steps[0]) for before in befores):
            yield from _lanes(part, cell.stop, (*lane, cell))


@pytest.mark.parametrize(
    ("soft", "ways", "points"),
    [
        (False, "C C", 0.0),
        (False, "C Am", None),  # a hard need holds on every way out
        (True, "C C C", 0.0),
        (True, "C C Am", -UNMET / 3),
        (True, "C Am Am", None),  # a soft one on half of them
    ],
)
def test_what_the_last_chord_needs_is_met_on_its_ways_out(
    soft: bool, ways: str, points: float | None
) -> None:
    outs = [Edge(parse_chord(way)) for way in ways.split()]
    last = Edge(parse_chord("Db7"), needs([0], ["major"], soft=soft))
    found = leaving_points(last, outs, [1.0] * len(outs))
    assert found == (None if points is None else pytest.approx(points))


@pytest.mark.parametrize(("ways", "played"), [("G7 G7", "C6"), ("G7 F7", "C")])
def test_what_the_first_chord_needs_is_met_on_every_way_in(ways: str, played: str) -> None:
    key, cell_edges = Key.parse("C"), CellEdges()
    ins = tuple(Step(parse_chord(way), 0, 24, key) for way in ways.split())
    plain = Step(parse_chord("C"), 0, 24, key)
    better = Step(parse_chord("C6"), 0, 24, key)._replace(before=needs([7]))
    cells = [
        Cell(
            0,
            1,
            (step,),
            (),
            points,
            cell_edges.number(entry((step,))),
            cell_edges.number(Edge(None)),
            0,
        )
        for step, points in ((plain, 0.0), (better, 1.0))
    ]
    part = Passage((plain,), (BarSpan("A", 0, 0, 24, ()),), 24, 0.5, entries=ins, exits=(plain,))
    chosen = choose(part, cells, cell_edges)
    assert chosen is not None
    assert str(chosen[0].steps[0].chord) == played
