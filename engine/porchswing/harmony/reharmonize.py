"""From a chart to its lead: the whole swing lane, chosen at once.

The structure is chosen first (which chords, where), then their colours; both choices are
exact for the points they add up (:mod:`porchswing.harmony.paths`). Stretches of bars meet at
the seams of the form: each round holds how every stretch begins and makes every ending fit
all that may follow, until nothing moves.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from porchswing.chart.model import Bar, Chart
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError
from porchswing.harmony.catalogue import rows_for
from porchswing.harmony.chooser import DEPTHS, Cell, Refused, cells_of, choose
from porchswing.harmony.colouring import Worn, choose_colours
from porchswing.harmony.flow import (
    BarId,
    Flow,
    edge_step,
    groups,
    passage,
    read_flow,
    stretches,
    written,
)
from porchswing.harmony.guard import clash
from porchswing.harmony.lead import Blocked, Lead, Swap
from porchswing.harmony.report import blocked_of, swaps_of
from porchswing.harmony.row import SwapRow
from porchswing.harmony.steps import Passage, Step

MAX_DEPTH = 4
PLAIN_COLOUR = 0.6
"""Points for leaving a chord's colour as it was written."""
SAME_AGAIN = 0.5
"""Taken off a swap that was already done at the same spot of a like phrase just before."""


@dataclass(slots=True)
class Stretch:
    """One stretch while its lane is sought: what may stand in it, and what does."""

    members: tuple[str, ...]
    bars: range
    passage: Passage
    cells: tuple[Cell, ...]
    refused: tuple[Refused, ...]
    chosen: tuple[Cell, ...]
    like: Mapping[int, int]
    points: float = 0.0

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the lane as chosen so far."""
        return tuple(step for cell in self.chosen for step in cell.steps)


def reharmonize(
    chart: Chart,
    depth: int = 2,
    use: Iterable[str] = (),
    avoid: Iterable[str] = (),
    *,
    locked: Collection[tuple[str, int]] = (),
) -> Lead:
    """Return the chart with a swing lane in every section, and the swaps that made it.

    Parameters
    ----------
    chart
        The chart; a handwritten swing lane, a locked grip and the length of every bar stay.
    depth
        How far to go: 0 as written, 1 colour only, 2 adds ii–V's and passing diminished,
        3 substitutions and chains, 4 everything the melody allows.
    use, avoid
        Names of swaps to take in or leave out whatever the depth.
    locked
        Bars to leave alone, as section name and bar number from 1.

    Raises
    ------
    OptionError
        For a depth outside 0 to 4 or a swap nobody knows.
    """
    if not 0 <= depth <= MAX_DEPTH:
        raise OptionError(f"depth runs from 0 to {MAX_DEPTH}, got {depth}")
    rows = rows_for(depth, use, avoid)
    flow = read_flow(chart, unroll(chart, lane="plain", choruses=2))
    fixed = {(section, bar - 1) for section, bar in locked}
    found = _stretches(chart, flow, rows, DEPTHS[depth] if depth else bool(rows), fixed)
    _settle(chart, flow, found, {row.name: row.taste for row in rows})
    bars: dict[str, list[Bar]] = {}
    swaps: list[Swap] = []
    blocked: list[Blocked] = []
    for part in found:
        part.passage = replace(part.passage, steps=part.steps)
        part.passage = replace(part.passage, steps=coloured(part.passage, rows))
        for name in part.members:
            bars.setdefault(name, []).extend(written(part.passage, chart.section(name).plain))
            swaps += swaps_of(chart, name, part.passage)
            blocked += blocked_of(name, part.passage, part.refused)
    sections = tuple(
        replace(s, swing=tuple(bars.get(s.name, s.plain))) if s.swing is None else s
        for s in chart.sections
    )
    points = sum(part.points for part in found)
    return Lead(replace(chart, sections=sections), depth, tuple(swaps), tuple(blocked), points)


def _stretches(
    chart: Chart, flow: Flow, rows: tuple[SwapRow, ...], piles: int, fixed: Collection[BarId]
) -> list[Stretch]:
    """Return every stretch the reharmoniser may change, with its cells."""
    found = []
    for members in groups(chart, flow):
        for bars in stretches(chart.section(members[0]), flow):
            part = passage(chart, members, bars, flow, fixed)
            part = replace(
                part,
                entries=_edges(chart, flow, members, bars[0], last=True),
                exits=_edges(chart, flow, members, bars[-1], last=False),
            )
            cells, refused = cells_of(part, rows, piles)
            plain = tuple(cell for cell in cells if not cell.rows)
            found.append(Stretch(members, bars, part, cells, refused, plain, like_places(part)))
    return found


def like_places(part: Passage) -> dict[int, int]:
    """Return for each step the last one before it, within eight bars, that starts a like phrase.

    Phrases are alike when this chord and the next are the same and last as long.
    """
    seen: dict[object, int] = {}
    found = {}
    for place, step in enumerate(part.steps):
        phrase = tuple((one.chord, one.beats) for one in part.steps[place : place + 2])
        before = seen.get(phrase)
        bar = part.spans[0].beats
        if before is not None and step.start - part.steps[before].start <= 8 * bar:
            found[place] = before
        seen[phrase] = place
    return found


def _edges(
    chart: Chart, flow: Flow, members: Iterable[str], index: int, *, last: bool
) -> tuple[Step | None, ...]:
    """Return the written steps before (``last``) or after a bar, over all members of a group."""
    ways = flow.precedes if last else flow.follows

    def written_edge(bar: BarId | None) -> Step | None:
        if bar is None:
            return None
        return edge_step(chart.section(bar[0]).lane("swing"), bar, flow, chart.key, last=last)

    return tuple(written_edge(bar) for name in members for bar in ways[name, index])


def _settle(chart: Chart, flow: Flow, found: list[Stretch], tastes: dict[str, float]) -> None:
    """Choose every stretch's lane, round by round, until all of them meet."""
    opens = {(name, part.bars[0]): part for part in found for name in part.members}
    for part in found:
        _choose(part, tastes, None)
    for _ in range(len(found) + 1):
        openings = {bar: part.steps[0] for bar, part in opens.items()}
        failed = []
        for part in found:
            exits = [bar for name in part.members for bar in flow.follows[name, part.bars[-1]]]
            part.passage = replace(
                part.passage,
                exits=tuple(
                    openings.get(bar, written) if bar else None
                    for bar, written in zip(exits, part.passage.exits, strict=True)
                ),
            )
            if not _choose(part, tastes, part.steps[0]):
                failed.append(part)
        if not failed:
            return
        for part in failed:
            part.cells = part.chosen = tuple(cell for cell in part.cells if not cell.rows)


def _choose(part: Stretch, tastes: dict[str, float], opening: Step | None) -> bool:
    """Choose one stretch's lane, then once more with like phrases told apart."""
    best = choose(part.passage, part.cells, tastes, opening=opening)
    if best is None:
        return False
    done = {cell.start: cell.rows for cell in best[0]}

    def price(cell: Cell) -> float:
        earlier = part.like.get(cell.start)
        again = cell.rows and earlier is not None and done.get(earlier) == cell.rows
        return SAME_AGAIN if again else 0.0

    part.chosen, part.points = (
        choose(part.passage, part.cells, tastes, opening=opening, price=price) or best
    )
    return True


def coloured(part: Passage, rows: Iterable[SwapRow]) -> tuple[Step, ...]:
    """Return a passage's steps in their best colours."""
    colours = [row for row in rows if row.colour]
    return choose_colours(part, [_worn(part, index, colours) for index in range(len(part.steps))])


def _worn(part: Passage, index: int, colours: Iterable[SwapRow]) -> list[Worn]:
    """List the ways to wear one chord: as it is, and every colour its melody allows."""
    found = [Worn(part.steps[index], PLAIN_COLOUR)]
    for row in colours:
        for offer in row.offers(part, index):
            if clash(part, offer.steps[0]) is None:
                found.append(Worn(offer.steps[0], row.taste))
    return found
