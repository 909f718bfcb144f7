"""The swaps one place of a tune allows, ranked, each with what it changes around it.

:func:`swap_offers` is what an interactive page and ``reharm --at`` list. The place is seen in
the lane that is played there: the handwritten swing lane, else the one the reharmoniser makes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from porchswing.chart.model import Chart
from porchswing.errors import OptionError
from porchswing.harmony.choice.cell_edges import Seams
from porchswing.harmony.choice.cells import Cell, Maker, cells_covering
from porchswing.harmony.choice.chooser import weigh
from porchswing.harmony.choice.colouring import choose_colours
from porchswing.harmony.choice.reharmonize import PLAIN_COLOUR, ways_to_wear
from porchswing.harmony.passage.melody_guard import clash, heard_as
from porchswing.harmony.passage.steps import PULSES, Offer, Passage, Span, Step
from porchswing.harmony.places.place_scene import Bare, PlaceScene, scene_at
from porchswing.harmony.swaps.catalogue import find_swap, rows_for

DEPTH = 4
"""Offers are looked for at every depth; each says its own."""
PILES = 2
"""How many swaps may be piled on the place."""
DRESS_DEPTH = 2
"""Colours up to this depth dress the chords of an offer."""
MOST_COLOURS = 2
"""How many mere colours come before the second best of each swap."""
MOST_OFFERS = 24
AS_WRITTEN = "as written"


@dataclass(frozen=True, slots=True)
class BarChange:
    """A bar that an offer changes besides its own: bar from 1, chords before and after."""

    bar: int
    before: tuple[str, ...]
    after: tuple[str, ...]
    beats: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class SwapOffer:
    """One way to play a bar.

    ``symbols`` and ``beats`` (in quarters) are the bar's chords; ``name`` joins the names of
    its swaps with ``+``; ``depth`` is the depth at which the reharmoniser would use it;
    ``changes`` are the other bars that change with it. ``fits`` says whether the melody allows
    it, ``melody`` how its held notes sound over the chords. ``points`` rank it: above 0 it
    gains on the written chords.
    """

    section: str
    bar: int
    symbols: tuple[str, ...]
    beats: tuple[Fraction, ...]
    name: str
    depth: int
    reason: str
    listen: str
    changes: tuple[BarChange, ...]
    melody: str
    fits: bool
    points: float


class _Way(NamedTuple):
    """Swaps by name, the steps they give, and the points they gain on the written chords."""

    names: tuple[str, ...]
    steps: tuple[Step, ...]
    points: float


def swap_offers(
    chart: Chart, section: str, bar: int, beat: int | None = None, count: int = 8
) -> tuple[SwapOffer, ...]:
    r"""Return up to ``count`` offers for a place, other than what is played there now.

    The best of each swap comes first, then further ones; those the melody forbids come last and
    say why. ``bar`` and ``beat`` count from 1, beats in units of the meter; without a beat every
    chord of the bar is looked at.

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
    return tuple(_varied(_offers(scene, places, span))[:count])


def _offers(scene: PlaceScene, places: Iterable[int], span: Span) -> Iterator[SwapOffer]:
    """Yield every offer for some written chords that changes a bar, the best first."""
    ways = [
        way
        for index in places
        if scene.view.steps[index].freedom != "kept"
        for way in _ways(scene.view, index, span)
    ]
    place, now = scene.view.spans.index(span), scene.bars(scene.lane)
    seen = {now}
    for way in sorted(ways, key=lambda way: -round(way.points, 6)):
        lane = scene.joined(way.steps)
        bars = scene.bars(lane) if lane is not None else now
        if bars[place] != now[place] and bars not in seen:
            seen.add(bars)
            yield _offer(scene, way, bars, now, place)


def _ways(view: Passage, index: int, span: Span) -> list[_Way]:
    """Return the ways to fill a place, those that gain most first.

    Swaps of several chords, colours of the one that is there, and the chord as written.
    """
    quiet, rows = replace(view, melody=()), rows_for(DEPTH)
    structural = tuple(row for row in rows if not row.colour)
    tastes = {row.name: row.preference for row in structural}
    maker = Maker(quiet, structural, tastes, Seams(), {})
    ways = [
        _Way(cell.rows, _dressed(quiet, cell), cell.points - _as_written(maker, cell))
        for cell in cells_covering(maker, index, PILES)
        if cell.rows
    ]
    step = quiet.steps[index]
    start, end = max(step.start, span.start), min(step.end, span.start + span.pulses)
    colours = [
        _Way((row.name,), (offer.steps[0]._replace(start=start, pulses=end - start),), points)
        for row in rows
        if row.colour
        for points in [row.preference - PLAIN_COLOUR]
        for offer in row.offers(quiet, index)
    ]
    plain = _Way((), (step._replace(start=start, pulses=end - start),), 0.0)
    return sorted([*ways, *colours, plain], key=lambda way: -round(way.points, 6))


def _as_written(maker: Maker, cell: Cell) -> float:
    """Return the points of the written chords a cell replaces."""
    steps = maker.passage.steps
    return weigh(
        maker.cell(place, place + 1, (steps[place],), ()) for place in range(cell.start, cell.stop)
    )


def _dressed(view: Passage, cell: Cell) -> tuple[Step, ...]:
    """Return a cell's steps in the colours they wear together."""
    made = view.replaced(Offer("", cell.start, cell.stop, cell.steps))
    colours = [row for row in rows_for(DRESS_DEPTH) if row.colour]
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


def _verdict(view: Passage, way: _Way, span: Span) -> tuple[bool, str]:
    """Return whether the melody allows a way, and how its held notes in a bar sound over it."""
    flat_nine = all(find_swap(name).flat_nine for name in way.names)
    for step in way.steps:
        found = clash(view, step, flat_nine=flat_nine)
        if found is not None:
            return False, found.reason
    return True, "; ".join(
        words for step in way.steps for words in heard_as(view, step, span.start, span.pulses)
    )


def _varied(offers: Iterator[SwapOffer]) -> list[SwapOffer]:
    """Return offers so that the best of each swap comes first and what clashes comes last.

    Of offers with the same chords in the bar the one with the fewest swaps comes first.
    """
    order = sorted(offers, key=lambda offer: offer.name.count(" + "))
    first, further, forbidden = [], [], []
    names: set[str] = set()
    alone: set[tuple[str, ...]] = set()
    colours = 0
    for offer in order:
        again = offer.name in names or (offer.symbols in alone and not offer.changes)
        colour = offer.name != AS_WRITTEN and all(
            find_swap(name).colour for name in offer.name.split(" + ")
        )
        if not offer.fits:
            forbidden.append(offer)
        elif again or (colour and colours == MOST_COLOURS):
            further.append(offer)
        else:
            first.append(offer)
            colours += colour
        names.add(offer.name)
        if not offer.changes:
            alone.add(offer.symbols)
    return first + further + forbidden
