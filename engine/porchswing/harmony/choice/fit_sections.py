"""Making the stretches of a chart meet at the seams of its form.

A stretch may be followed by several others, so its last chords have to fit them all. Each
round holds how every stretch begins and chooses the best lane that fits what may follow; a
stretch for which none is left falls back to the plain lane, which fits everywhere.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from porchswing.chart.model import Chart
from porchswing.chart.unroll import LAST_TIME
from porchswing.harmony.choice.budgets import Budget, least_minors, within_budget
from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import DEPTHS, REACH, Cell, Refused, cells_of
from porchswing.harmony.choice.chooser import Price, choose
from porchswing.harmony.choice.styles import in_style, style_of
from porchswing.harmony.passage.flow import BarId, Flow, edges, groups, passage, stretches
from porchswing.harmony.passage.steps import Passage, Step
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord

SAME_AGAIN = 0.8
"""Taken off chords that swaps put at the same spot of a like phrase just before."""
WORN = 2.0
"""Points taken off a repeat within eight bars of the last one."""
TAKEN = 1.0
"""Taken off a swap that an earlier alternative has at the same spot."""
REPEAT_ROUNDS = 3
"""How often a lane is chosen anew because the one chosen repeats itself elsewhere."""
LAST_BARS = 4
"""How many bars at the end may differ the last time."""
DIFFERENT, FORBIDDEN = 0.5, 100.0
"""Taken off a swap that differs from the other times there, and before those bars."""
LIKE_BARS = 8
"""How far back a phrase is remembered."""


@dataclass(slots=True)
class Stretch:
    """One stretch while its lane is sought: what may be played in it, and what is."""

    members: tuple[str, ...]
    bars: range
    passage: Passage
    rows: tuple[SwapRow, ...]
    cell_edges: CellEdges
    cells: tuple[Cell, ...]
    refused: tuple[Refused, ...]
    chosen: tuple[Cell, ...]
    like: Mapping[int, int]
    budget: Budget
    base: Stretch | None = None
    taken: Counter[tuple[int, tuple[Chord | None, ...]]] = field(default_factory=Counter)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the lane as chosen so far."""
        return tuple(step for cell in self.chosen for step in cell.steps)

    def leads_to(self, flow: Flow) -> list[BarId | None]:
        """Return the bars that may follow, over all sections of the group."""
        return [bar for name in self.members for bar in flow.follows[name, self.bars[-1]]]

    def remember(self) -> None:
        """Count the swaps of the lane as taken, so that the next alternative looks elsewhere."""
        self.taken.update(_spot(cell) for cell in self.chosen if cell.rows)


def find_stretches(
    chart: Chart,
    flow: Flow,
    rows: Callable[[str], tuple[int, tuple[SwapRow, ...]]],
    fixed: Collection[BarId],
    *,
    together: bool = False,
) -> list[Stretch]:
    """Return every stretch that may change, with its cells.

    ``rows`` gives the depth and the rows of a section; ``fixed`` are the bars to leave alone;
    ``together`` keeps to what sounds well over the plain chords.
    """
    found: list[Stretch] = []
    for members in groups(chart, flow, lambda name: rows(name)[0]):
        depth, own = rows(members[0])
        style = style_of(chart, chart.section(members[0]))
        own = in_style(own, style, depth)
        for bars in stretches(chart.section(members[0]), flow):
            part = passage(chart, members, bars, flow, fixed)
            ways = _ways_out(flow, members, bars[-1])
            part = replace(
                part,
                entries=edges(chart, flow, members, bars[0], last=True),
                exits=edges(chart, flow, members, bars[-1], last=False),
                weights=tuple(weight for weight, _ in ways),
                owners=tuple(owner for _, owner in ways),
                beneath=part.steps if together else (),
            )
            base = _base(found, members[0], part)
            cell_edges = base.cell_edges if base else CellEdges()
            cells, refused = cells_of(
                part, own, DEPTHS[depth], cell_edges, ready=base.cells if base else ()
            )
            found.append(
                Stretch(
                    members,
                    bars,
                    part,
                    own,
                    cell_edges,
                    cells,
                    refused,
                    tuple(cell for cell in cells if not cell.rows),
                    like_places(part),
                    Budget(depth, style, least_minors(part, cells, cell_edges, depth, style)),
                    base,
                )
            )
    return found


def _base(found: Iterable[Stretch], name: str, part: Passage) -> Stretch | None:
    """Return the same stretch of the section that a section for the last time stands for."""
    base = name.removesuffix(LAST_TIME)
    same = (each for each in found if base in each.members and each.passage.steps == part.steps)
    return next(same, None) if base != name else None


def _ways_out(flow: Flow, members: Iterable[str], index: int) -> list[tuple[float, int]]:
    """Return how often each way out of a bar is taken, and of which member of a group it is."""
    return [
        (float(flow.share((name, index), bar)), number)
        for number, name in enumerate(members)
        for bar in flow.follows.get((name, index), ())
    ]


def like_places(part: Passage) -> dict[int, int]:
    """Return for each step the last one before it, within eight bars, that starts a like phrase.

    Phrases are alike when this chord and the next are the same and last as long.
    """
    seen: dict[object, int] = {}
    found = {}
    for place, step in enumerate(part.steps):
        phrase = tuple((one.chord, one.pulses) for one in part.steps[place : place + 2])
        before = seen.get(phrase)
        reach = LIKE_BARS * part.spans[0].pulses
        if before is not None and step.start - part.steps[before].start <= reach:
            found[place] = before
        seen[phrase] = place
    return found


def fit_stretches(flow: Flow, found: list[Stretch]) -> None:
    """Choose every stretch's lane, round by round, until all of them meet."""
    opens = {(name, part.bars[0]): part for part in found for name in part.members}
    written = [part.passage.exits for part in found]
    for part in found:
        _choose(part, None)
    for _ in range(len(found) + 1):
        openings = {bar: part.steps[0] for bar, part in opens.items()}
        failed = []
        for part, plain_exits in zip(found, written, strict=True):
            after = part.leads_to(flow)
            exits = tuple(
                openings.get(bar, plain) if bar else None
                for bar, plain in zip(after, plain_exits, strict=True)
            )
            part.passage = replace(part.passage, exits=exits)
            if not _choose(part, part.chosen[0].entry):
                failed.append(part)
        if not failed:
            return
        for part in failed:
            part.cells = part.chosen = tuple(cell for cell in part.cells if not cell.rows)


def _choose(part: Stretch, opening: int | None) -> bool:
    """Choose one stretch's lane, like phrases kept apart, within the budgets of its style."""
    usual = _usual(part)

    def taken(cell: Cell) -> float:
        again = TAKEN * part.taken[_spot(cell)] if part.taken else 0.0
        return again + (usual(cell) if usual else 0.0)

    best = choose(part.passage, part.cells, part.cell_edges, opening=opening, price=taken)
    if best is None:
        return False
    lane, worn = best, dict.fromkeys(map(id, part.cells), 0.0)
    prices = {id(cell): taken(cell) for cell in part.cells}

    def chosen(extra: Price) -> tuple[Cell, ...] | None:
        def total(cell: Cell) -> float:
            return prices[id(cell)] + worn[id(cell)] + extra(cell)

        return choose(part.passage, part.cells, part.cell_edges, opening=opening, price=total)

    for _ in range(REPEAT_ROUNDS):
        again = _again(part, lane)
        if lane is not best and all(again(cell) <= worn[id(cell)] for cell in lane):
            break  # nothing comes back that has not been priced
        worn = {id(cell): max(worn[id(cell)], again(cell)) for cell in part.cells}
        lane = within_budget(part.passage, part.budget, chosen, best)
    part.chosen = lane
    return True


def _again(part: Stretch, lane: Sequence[Cell]) -> Price:
    """Return the price of what a lane has at the same spot just before, or within eight bars."""
    done = {cell.start: _spot(cell)[1] for cell in lane if cell.rows}
    penalised = {row.name for row in part.rows if row.repeat_penalised}
    repeated = [(cell.steps[0].start, name) for cell in lane for name in penalised & {*cell.rows}]
    reach = LIKE_BARS * part.passage.spans[0].pulses

    def near(start: int) -> list[tuple[int, str]]:
        first = bisect_left(repeated, (start - reach, ""))
        return repeated[first : bisect_left(repeated, (start, ""))]

    def price(cell: Cell) -> float:
        if not cell.rows:
            return 0.0
        earlier = part.like.get(cell.start)
        same = earlier is not None and done.get(earlier) == _spot(cell)[1]
        start = cell.steps[0].start
        worn = any(name in cell.rows and 0 < start - at <= reach for at, name in near(start))
        return (SAME_AGAIN if same else 0.0) + (WORN if worn else 0.0)

    return price


def _usual(part: Stretch) -> Callable[[Cell], float] | None:
    """Return the price of what differs from the other times, in a section for the last time.

    Before its last bars nothing may differ.
    """
    if part.base is None:
        return None
    same = {id(cell) for cell in part.base.chosen}
    late = {cell.stop: cell.steps for cell in part.base.chosen[-2 * REACH :]}
    border = part.passage.steps[-1].end - LAST_BARS * part.passage.spans[-1].pulses

    def price(cell: Cell) -> float:
        if id(cell) in same or late.get(cell.stop) == cell.steps:
            return 0.0
        return DIFFERENT if cell.steps[0].start >= border else FORBIDDEN

    return price


def _spot(cell: Cell) -> tuple[int, tuple[Chord | None, ...]]:
    return cell.start, tuple(step.chord for step in cell.steps)
