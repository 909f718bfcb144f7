"""The swaps one place of a tune allows, ranked, each with what it changes around it.

:func:`swap_offers` is what an interactive page and ``reharm --at`` list. The place is seen in
the lane that is played there: the handwritten swing lane, else the one the reharmoniser makes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from porchswing.chart.model import Chart
from porchswing.errors import OptionError
from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import Cell, Maker, cells_covering
from porchswing.harmony.choice.chooser import lane_points
from porchswing.harmony.choice.colouring import PLAIN_COLOUR, choose_colours, ways_to_wear
from porchswing.harmony.passage.melody_guard import clash, heard_as
from porchswing.harmony.passage.steps import PULSES, BarSpan, Offer, Passage, Step
from porchswing.harmony.places.place_scene import Bare, PlaceScene, scene_at
from porchswing.harmony.places.ranking import RankedOffer, heard, ranked
from porchswing.harmony.places.swap_offer import AS_WRITTEN, BarChange, SwapOffer
from porchswing.harmony.swaps.catalogue import find_swap, rows_for
from porchswing.harmony.swaps.swap_row import SwapRow

DEPTH = 4
"""Offers are looked for at every depth; each says its own."""
PILES = 2
"""How many swaps may be piled on the place."""
DRESS_DEPTH = 2
"""Colours up to this depth dress the chords of an offer."""
MOST_OFFERS = 24


class _Way(NamedTuple):
    """Swaps by name, the steps they give, and the points they gain on the written chords."""

    names: tuple[str, ...]
    steps: tuple[Step, ...]
    points: float


def swap_offers(
    chart: Chart, section: str, bar: int, beat: int | None = None, count: int = 8
) -> tuple[SwapOffer, ...]:
    r"""Return up to ``count`` offers for a place, other than what is played there now.

    The best of each swap comes first (:mod:`porchswing.harmony.places.ranking`); those the
    melody forbids come last and say why. ``bar`` and ``beat`` count from 1, beats in units of
    the meter; without a beat every chord of the bar is looked at.

    Raises
    ------
    OptionError
        For a place the chart does not have, or a count outside 1 to 24.

    >>> from porchswing.chart.language.reader import parse_chart
    >>> chart = parse_chart("key: C\n[A]\nplain | Dm7 | G7 | C |\nswing | Dm7 | G7 | C |\n")
    >>> ("Db9",) in [offer.symbols for offer in swap_offers(chart, "A", 2)]
    True
    """
    if not 1 <= count <= MOST_OFFERS:
        raise OptionError(f"alternatives must be 1 to {MOST_OFFERS}, got {count}")
    scene = scene_at(chart, section, bar)
    span = scene.span(bar)
    pulse = span.start + ((beat or 1) - 1) * PULSES
    if not span.start <= pulse < span.start + span.pulses:
        raise OptionError(f"beat must be 1 to {span.pulses // PULSES}, got {beat}")
    last = span.start + span.pulses - 1 if beat is None else pulse
    places = range(scene.written_at(pulse), scene.written_at(last) + 1)
    return ranked(_candidates(scene, places, span))[:count]


def _candidates(scene: PlaceScene, places: Iterable[int], span: BarSpan) -> Iterator[RankedOffer]:
    """Yield every offer for some written chords that changes a bar, each lane once.

    Its name is the shortest that leads there, its points the most.
    """
    ways = [
        way
        for index in places
        if scene.view.steps[index].freedom != "kept"
        for way in _ways(scene.view, index, span)
    ]
    place, now = scene.view.spans.index(span), scene.bars(scene.lane)
    found: dict[tuple[Bare, ...], _Way] = {}
    for way in sorted(ways, key=lambda way: (len(way.names), -round(way.points, 6))):
        lane = scene.joined(way.steps)
        bars = scene.bars(lane) if lane is not None else now
        if bars[place] != now[place]:
            known = found.setdefault(bars, way)
            if way.points > known.points:
                found[bars] = known._replace(points=way.points)
    plain = [heard(bar) for bar in now]
    for bars, way in found.items():
        new = [heard(bar) for bar in bars]
        others = sum(a != b for a, b in zip(plain, new, strict=True)) - (plain[place] != new[place])
        offer = _offer(scene, way, bars, now, place)
        yield RankedOffer(
            offer, way.names, new[place], plain[place] != new[place], others, tuple(new)
        )


def _ways(view: Passage, index: int, span: BarSpan) -> list[_Way]:
    """Return the ways to fill a place, those that gain most first.

    Swaps of several chords, colours of the one that is there, and the chord as written.
    """
    quiet, rows = replace(view, melody=()), rows_for(DEPTH)
    structural = tuple(row for row in rows if not row.colour)
    tastes = {row.name: row.preference for row in structural}
    maker = Maker(quiet, structural, tastes, CellEdges(), {})
    colours = [row for row in rows_for(DRESS_DEPTH) if row.colour]
    ways = [
        _Way(cell.rows, _dressed(quiet, cell, colours), cell.points - _as_written(maker, cell))
        for cell in cells_covering(maker, index, PILES)
        if cell.rows
    ]
    step = quiet.steps[index]
    start, end = max(step.start, span.start), min(step.end, span.start + span.pulses)
    coloured = [
        _Way((row.name,), (offer.steps[0]._replace(start=start, pulses=end - start),), points)
        for row in rows
        if row.colour
        for points in [row.preference - PLAIN_COLOUR]
        for offer in row.offers(quiet, index)
    ]
    plain = _Way((), (step._replace(start=start, pulses=end - start),), 0.0)
    return sorted([*ways, *coloured, plain], key=lambda way: -round(way.points, 6))


def _as_written(maker: Maker, cell: Cell) -> float:
    """Return the points of the written chords a cell replaces."""
    steps = maker.passage.steps
    return lane_points(
        maker.cell(place, place + 1, (steps[place],), ()) for place in range(cell.start, cell.stop)
    )


def _dressed(view: Passage, cell: Cell, colours: Sequence[SwapRow]) -> tuple[Step, ...]:
    """Return a cell's steps in the colours they wear together."""
    made = view.replaced(Offer("", cell.start, cell.stop, cell.steps))
    places = range(cell.start, cell.start + len(cell.steps))
    return choose_colours(made, [ways_to_wear(made, place, colours, []) for place in places])


def _offer(
    scene: PlaceScene, way: _Way, bars: Sequence[Bare], now: Sequence[Bare], place: int
) -> SwapOffer:
    span = scene.view.spans[place]
    symbols, beats = scene.played(bars[place])
    rows = [find_swap(name) for name in way.names]
    changes = [
        BarChange(other.bar_index + 1, scene.played(old)[0], *scene.played(new))
        for other, old, new in zip(scene.view.spans, now, bars, strict=True)
        if old != new and other != span
    ]
    fits, melody = _verdict(scene.view, way, span)
    return SwapOffer(
        section=span.section,
        bar=span.bar_index + 1,
        symbols=symbols,
        beats=beats,
        name=" + ".join(way.names) or AS_WRITTEN,
        depth=max((row.depth for row in rows), default=0),
        reason=" ".join(dict.fromkeys(row.reason for row in rows)) or "The chords of the chart.",
        listen="; ".join(dict.fromkeys(row.listen for row in rows)),
        changes=tuple(changes),
        melody=melody,
        fits=fits,
        points=round(way.points, 6),
    )


def _verdict(view: Passage, way: _Way, span: BarSpan) -> tuple[bool, str]:
    """Return whether the melody allows a way, and how its held notes in a bar sound over it."""
    flat_nine = all(find_swap(name).flat_nine for name in way.names)
    for step in way.steps:
        found = clash(view, step, flat_nine=flat_nine)
        if found is not None:
            return False, found.reason
    return True, "; ".join(
        words for step in way.steps for words in heard_as(view, step, span.start, span.pulses)
    )
