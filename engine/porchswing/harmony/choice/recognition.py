"""Reading the swaps out of a swing lane written by hand.

The two lanes of a section are compared with everything the catalogue offers over the plain one:
the reading that takes the fewest chords as "your own", then the least depth, is chosen exactly
(:mod:`porchswing.harmony.passage.paths`), so a lane the reharmoniser wrote reads as it was made.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from porchswing.chart.limits import MAX_DEPTH
from porchswing.chart.model import Bar, Chart, Section
from porchswing.chart.unroll import is_last_time
from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import DEPTHS, Cell, cells_of
from porchswing.harmony.choice.fit_sections import LIKE_BARS, WORN, find_stretches, fit_stretches
from porchswing.harmony.choice.styles import in_style, style_of
from porchswing.harmony.depth import DEFAULT_DEPTH
from porchswing.harmony.passage.flow import BarId, Flow, edges, passage, stretches
from porchswing.harmony.passage.paths import Arc, best_way
from porchswing.harmony.passage.steps import PULSES, Deed, Passage, Step
from porchswing.harmony.swaps.catalogue import OWN, rows_for
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord

FOREIGN = 100.0
"""Taken off for every felt beat that no swap of the catalogue explains: more than all tastes."""
PARTED = 3.0
"""Taken off where one chord of a swap is written in several colours."""
KIN = {("major", "dominant"), ("major", "suspended"), ("dominant", "suspended")}
"""Families that a mere colour may lead from and to: a triad grows a seventh, a fourth hangs."""
STRANGE = 3.0
"""Taken off where the family changes so, so that a swap that explains it comes first."""
USUAL = 3.0
"""Added to what the reharmoniser would do at the same spot."""
LONGEST_OWN = 4
"""Most plain chords that one change of your own reaches over."""


class _Stretch(NamedTuple):
    """One stretch of a written swing lane: seen over the plain lane, and between swing chords.

    ``lane`` has the written chords, in pulses from the start of the passage.
    """

    section: str
    view: Passage
    played: Passage
    lane: tuple[Step, ...]


_Spot = tuple[int, int, tuple[str, ...]]
"""What distinguishes a cell from others: where it starts and stops, and its swaps."""


def recognised(chart: Chart, flow: Flow, asked: int | None = None) -> Iterator[tuple[str, Passage]]:
    """Yield section and passage of every swing lane written by hand: its steps, their deeds.

    What is left then is looked for among what only those get who ask for one place.
    The whole chart is read at one depth: the one asked for or that it says, else the least that
    leaves the fewest changes unexplained.
    """
    parts = [
        part
        for section in chart.sections
        if section.swing is not None and (section.name, 0) in flow.follows
        for part in _stretches(chart, section, flow)
    ]
    if not parts:
        return
    readings = []
    said = chart.settings.depth if asked is None else asked
    for place, (depth, offered) in enumerate(_depths(said)):
        if offered:
            parts = [part._replace(view=replace(part.view, asked=True)) for part in parts]
        usual = _as_made(chart, flow, depth) if depth in (said, DEFAULT_DEPTH) else {}
        found = []
        for part in parts:
            made = usual.get((part.section, part.view.spans[0].bar_index), set())
            found.append(_worn(part, _reading(part, chart, depth, made), chart, depth))
        readings.append((sum(map(_own_pulses, found)), place, found))
        if not readings[-1][0]:
            break
    _, _, found = min(readings, key=lambda one: one[:2])
    for part, steps in zip(parts, found, strict=True):
        yield part.section, replace(part.played, steps=steps)


def _depths(said: int | None) -> tuple[tuple[int, bool], ...]:
    """Return the depths to read at in turn, each with whether offers for one place count."""
    usual = (*(() if said is None else (said,)), *range(MAX_DEPTH + 1))
    return (*((depth, False) for depth in usual), (MAX_DEPTH, True))


def _stretches(chart: Chart, section: Section, flow: Flow) -> Iterator[_Stretch]:
    """Yield the stretches of one section, between the chords of all that are written alike."""
    members = _alike(chart, section, flow)
    for bars in stretches(section, flow):
        whole = passage(chart, members, bars, flow)
        spans = tuple(span._replace(section=section.name) for span in whole.spans)
        steps = (step._replace(freedom="free") if step.chord else step for step in whole.steps)
        whole = replace(whole, spans=spans, steps=tuple(steps))
        lane = _lane(whole, section.lane("swing"), chart)
        view = _between(whole, chart, flow, members, "plain")
        played = _between(whole, chart, flow, members, "swing")
        yield _Stretch(section.name, view, played, lane)


def _alike(chart: Chart, section: Section, flow: Flow) -> tuple[str, ...]:
    """Return the sections that have a section's lanes: the reharmoniser makes them as one."""

    def kept(other: Section) -> tuple[object, ...]:
        ends = flow.follows[other.name, len(other.plain) - 1] == (None,)
        last = is_last_time(chart, other.name)
        return other.plain, other.melody, other.swing, ends, last

    played = [other for other in chart.sections if (other.name, 0) in flow.follows]
    return tuple(other.name for other in played if kept(other) == kept(section))


def _as_made(chart: Chart, flow: Flow, depth: int) -> dict[BarId, set[_Spot]]:
    """Return what the reharmoniser would do in every stretch if no swing lane were written."""
    sections = tuple(replace(section, swing=None) for section in chart.sections)
    rows = rows_for(depth)
    found = find_stretches(replace(chart, sections=sections), flow, lambda _: (depth, rows), ())
    fit_stretches(flow, found)
    return {
        (name, part.bars[0]): {(cell.start, cell.stop, cell.rows) for cell in part.chosen}
        for part in found
        for name in part.members
    }


def _between(view: Passage, chart: Chart, flow: Flow, members: Sequence[str], lane: str) -> Passage:
    """Return a passage between the chords that one lane has before and after it."""
    first, last = view.spans[0].bar_index, view.spans[-1].bar_index
    return replace(
        view,
        entries=edges(chart, flow, members, first, last=True, lane=lane),
        exits=edges(chart, flow, members, last, last=False, lane=lane),
    )


def _lane(view: Passage, bars: Sequence[Bar], chart: Chart) -> tuple[Step, ...]:
    """Return the written swing bars of a stretch as chords, like neighbours joined."""
    found: list[Step] = []
    for span in view.spans:
        at = span.start
        for slot in bars[span.bar_index].slots:
            length = int(slot.beats / chart.meter.unit_beats * PULSES)
            if found and found[-1].chord == slot.chord:
                found[-1] = found[-1]._replace(pulses=found[-1].pulses + length)
            else:
                found.append(Step(slot.chord, at, length, view.steps[0].key))
            at += length
    return tuple(found)


def _cut(lane: Iterable[Step], start: int, end: int) -> list[Step]:
    """Return the chords of a lane between two pulses, the outer ones shortened."""
    found = []
    for step in lane:
        first, last = max(step.start, start), min(step.end, end)
        if first < last:
            found.append(step._replace(start=first, pulses=last - first))
    return found


def _reading(
    part: _Stretch, chart: Chart, depth: int, usual: Collection[_Spot]
) -> tuple[Cell, ...]:
    """Return the cells that explain a lane best, those of no swap among them.

    Of two readings of the same chords the one that the reharmoniser would have made comes first.
    """
    cell_edges, lane, view = CellEdges(), part.lane, replace(part.view, melody=())
    offered = rows_for(depth, asked=view.asked)
    rows = in_style(offered, style_of(chart, chart.section(part.section)), depth)
    cells, _ = cells_of(view, rows, DEPTHS[depth], cell_edges)
    for exits in _ways_out(part):
        alone = replace(view, exits=exits)
        cells += cells_of(alone, rows, DEPTHS[depth], cell_edges, ready=cells)[0]
    arcs = []
    for cell in dict.fromkeys(cells):
        price = _fit(cell, lane)
        if price is not None:
            price -= USUAL * ((cell.start, cell.stop, cell.rows) in usual)
            arcs.append(
                Arc(cell.start, cell.stop, cell.points - price, cell.entry, cell.exit, cell)
            )
    for start in range(len(view.steps)):
        for stop in range(start + 1, min(start + LONGEST_OWN, len(view.steps)) + 1):
            if own := _own(view, start, stop, lane):
                beats = (own.steps[-1].end - own.steps[0].start) / view.grid_pulses
                arcs.append(Arc(start, stop, -FOREIGN * beats, None, None, own))
    best = [arc.payload for arc in best_way(len(view.steps), arcs, _meeting(cell_edges)) or ()]
    arcs = [arc._replace(points=arc.points - _again(arc.payload, best, view, rows)) for arc in arcs]
    ways_through = best_way(len(view.steps), arcs, _meeting(cell_edges)) or ()
    return tuple(arc.payload for arc in ways_through)


def _ways_out(part: _Stretch) -> tuple[tuple[Step | None, ...], ...]:
    """Return the ways out that a swap may have been made for, besides all the plain ones at once.

    They are each of the plain lane's by itself, and the swing lane's where they lead elsewhere.
    """
    plain, swing = (tuple(dict.fromkeys(one.exits)) for one in (part.view, part.played))
    alone = [(way,) for way in plain] if len(plain) > 1 else []
    elsewhere = {*map(_root, swing)} - {*map(_root, plain)}
    return (*alone, *([swing] if elsewhere else []))


def _root(step: Step | None) -> int | None:
    return None if step is None or step.chord is None else step.chord.root.pc


def _again(cell: Cell, best: Sequence[Cell], view: Passage, rows: Iterable[SwapRow]) -> float:
    """Return what the reharmoniser takes off a swap that was done shortly before, as it does."""
    start, reach = cell.steps[0].start, LIKE_BARS * view.spans[0].pulses
    penalised = {row.name for row in rows if row.repeat_penalised} & {*cell.rows}
    worn = any(penalised & {*one.rows} and 0 < start - one.steps[0].start <= reach for one in best)
    return WORN * worn


def _meeting(cell_edges: CellEdges) -> Callable[[Any, Any], float | None]:
    """Return what two cells are worth together; one of the writer's own meets anything."""

    def meet(left: int | None, right: int | None) -> float | None:
        return 0.0 if left is None or right is None else cell_edges.meet(left, right)

    return meet


def _fit(cell: Cell, lane: Sequence[Step]) -> float | None:
    """Return the price of reading a lane as a cell, ``None`` where it is other chords."""
    price = 0.0
    for step in cell.steps:
        pieces = _cut(lane, step.start, step.end)
        if not all(_written_as(piece, step) for piece in pieces):
            return None
        price += PARTED * (len(pieces) - 1)
        price += STRANGE * any(piece.family != step.family and not step.mirrors for piece in pieces)
    return price


def _written_as(piece: Step, step: Step) -> bool:
    """Whether a written chord is a step's, its colour aside (and its family where that mirrors)."""
    mine, theirs = piece.chord, step.chord
    if mine is None or theirs is None:
        return mine is theirs
    if (mine.root.pc, mine.bass_note.pc) != (theirs.root.pc, theirs.bass_note.pc):
        return False
    if step.fixed_colour and not step.mirrors:
        return mine.quality == theirs.quality
    kinds = (theirs.quality.family, mine.quality.family)
    return step.mirrors or kinds[0] == kinds[1] or kinds in KIN


def _own(view: Passage, start: int, stop: int, lane: Sequence[Step]) -> Cell | None:
    """Return a change of the writer's own for some plain chords; none where both are silent."""
    olds = view.steps[start:stop]
    pieces = _cut(lane, olds[0].start, olds[-1].end)
    edges = {step.start for step in lane} | {lane[-1].end}
    if stop - start > 1 and not {olds[0].start, olds[-1].end} <= edges:
        return None
    before = tuple(step.chord for step in olds if step.chord)
    after = tuple(piece.chord for piece in pieces if piece.chord)
    deed = Deed(OWN.name, olds[0].start, olds[-1].end, before, after)
    steps = tuple(
        olds[0]._replace(
            chord=piece.chord,
            start=piece.start,
            pulses=piece.pulses,
            deeds=(deed,),
            fixed_colour=True,
        )
        for piece in pieces
    )
    return Cell(start, stop, steps, (OWN.name,), 0.0, -1, -1, 0)


def _own_pulses(steps: Iterable[Step]) -> int:
    """Return how many pulses of a reading no swap explains."""
    return sum(step.pulses for step in steps if any(deed.row == OWN.name for deed in step.deeds))


def _worn(part: _Stretch, cells: Sequence[Cell], chart: Chart, depth: int) -> tuple[Step, ...]:
    """Return the steps of a reading in the colours that are written."""
    steps: list[Step] = []
    for cell in cells:
        for step in cell.steps:
            pieces = _cut(part.lane, step.start, step.end)
            steps += [step._replace(start=one.start, pulses=one.pulses) for one in pieces]
    views = [replace(view, steps=tuple(steps)) for view in (part.view, part.played)]
    style = style_of(chart, chart.section(part.section))
    colours = [
        row
        for reach in (max(depth, 1), MAX_DEPTH)
        for row in sorted(in_style(rows_for(reach), style, reach), key=lambda row: -row.preference)
        if row.colour
    ]
    return tuple(_coloured(views, place, colours, part) for place in range(len(steps)))


def _coloured(
    views: Sequence[Passage], place: int, colours: Sequence[SwapRow], part: _Stretch
) -> Step:
    """Return a step as it is written, with the colour that makes it so as a deed."""
    step = views[0].steps[place]
    wanted = _cut(part.lane, step.start, step.end)[0].chord
    if step.chord is None or wanted is None:
        return step._replace(chord=wanted)
    if step.mirrors or wanted.quality == step.chord.quality:
        return step._replace(chord=wanted)
    for row in colours:
        for offer in (offer for view in views for offer in row.offers(view, place)):
            chord = offer.steps[0].chord
            if chord is not None and chord.quality == wanted.quality:
                return offer.steps[0]._replace(chord=wanted)
    name, before = _colour_of_plain(part.view, step, wanted, colours) or (OWN.name, step.chord)
    deed = Deed(name, step.start, step.end, (before,), (wanted,))
    return step._replace(chord=wanted, deeds=(*step.deeds, deed))


def _colour_of_plain(
    view: Passage, step: Step, wanted: Chord, colours: Iterable[SwapRow]
) -> tuple[str, Chord] | None:
    """Return the colour that the plain chord beneath a swapped one takes, and that chord."""
    place = next(i for i, plain in enumerate(view.steps) if step.start < plain.end)
    plain = view.steps[place].chord
    if plain is None or plain.root.pc != wanted.root.pc:
        return None
    for row in colours:
        chords = [offer.steps[0].chord for offer in row.offers(view, place)]
        if any(chord is not None and chord.quality == wanted.quality for chord in chords):
            return row.name, plain
    return None
