"""The swaps one place of a tune allows, ranked, each with what it changes around it.

:func:`swap_offers` is what an interactive page and ``reharm --at`` list. The place is seen in
the lane that is played there: the handwritten swing lane, else the one the reharmoniser makes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from porchswing.chart.model import Chart
from porchswing.errors import OptionError
from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import Maker, cells_covering
from porchswing.harmony.choice.chooser import lane_points
from porchswing.harmony.choice.colouring import PLAIN_COLOUR, choose_colours, ways_to_wear
from porchswing.harmony.choice.scoring import SHORTEST_S, points_of, seconds
from porchswing.harmony.passage.melody_guard import clash, heard_as, watched
from porchswing.harmony.passage.steps import PULSES, BarSpan, Offer, Passage, Step, all_agree
from porchswing.harmony.passage.together import fits_beneath
from porchswing.harmony.places.place_scene import (
    Bare,
    PlaceScene,
    scene_at,
    whatever_its_spelling,
)
from porchswing.harmony.places.ranking import Candidate, Way, heard, in_order
from porchswing.harmony.places.swap_offer import AS_WRITTEN, BarChange, SwapOffer
from porchswing.harmony.swaps.catalogue import find_swap, rows_for

DEPTH = 4
"""Offers are looked for at every depth; each says its own."""
DRESS_DEPTH = 2
"""Colours up to this depth dress the chords of an offer."""
MOST_OFFERS, MOST_FORBIDDEN = 24, 4
"""How many offers may be asked for, and which part of them the melody may forbid: one in four."""


def swap_offers(
    chart: Chart, section: str, bar: int, beat: int | None = None, count: int = 8
) -> tuple[SwapOffer, ...]:
    r"""Return up to ``count`` offers for a place, other than what is played there now.

    What the books print most comes first (:mod:`porchswing.harmony.places.ranking`); of those
    the melody forbids the first come last and say why. ``bar`` and ``beat`` count from 1, beats
    in units of the meter; without a beat every chord of the bar is looked at.

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
    quiet = replace(scene.view, melody=())
    ways = [
        way
        for index in places
        if quiet.steps[index].freedom != "kept"
        for way in ways_at(quiet, index, span)
    ]
    place, now = scene.view.spans.index(span), scene.bars(scene.lane)
    offers: list[SwapOffer] = []
    forbidden: list[SwapOffer] = []
    played = [whatever_its_spelling(bar) for bar in now]
    known = {tuple(played)}
    for candidate in in_order(_candidates(scene, ways, now, place)):
        way = dressed(quiet, candidate.way)
        lane = scene.joined(way.steps)
        if lane is None or not _playable(scene.view, way):
            continue
        bars = scene.bars(lane)
        sounding = tuple(whatever_its_spelling(bar) for bar in bars)
        if sounding in known or sounding[place] == played[place]:
            continue
        known.add(sounding)
        offer = _offer(scene, way, bars, now, place)
        (offers if offer.fits else forbidden).append(offer)
        if len(offers) + min(len(forbidden), count // MOST_FORBIDDEN) == count:
            break
    return (*offers, *forbidden)[:count]


def _candidates(
    scene: PlaceScene, ways: Sequence[Way], now: Sequence[Bare], place: int
) -> Iterator[Candidate]:
    """Yield every way that changes a bar, each lane once: the plainest name that leads there."""
    plain, played = [heard(bar) for bar in now], [whatever_its_spelling(bar) for bar in now]
    ahead = now[place + 1][0][0] if place + 1 < len(now) else next(iter(scene.after), None)
    known = set()
    for way in ways:
        laid = scene.laid(way.steps, now)
        sounding = ((n, whatever_its_spelling(bar)) for n, bar in laid.items())
        lane = tuple((n, bar) for n, bar in sounding if bar != played[n])
        if place not in dict(lane) or lane in known:
            continue
        known.add(lane)
        new = {n: heard(bar) for n, bar in laid.items()}
        after = laid[place + 1][0][0] if place + 1 in laid else ahead
        yield Candidate(
            way,
            new[place],
            plain[place],
            after,
            sum(new[n] != plain[n] for n in new if n != place),
            tuple(sorted((n, bar) for n, bar in new.items() if bar != plain[n])),
            way.over is None and _takes_tune(scene.view, way.steps[0], now[place]),
        )


def _takes_tune(view: Passage, step: Step, bar: Bare) -> bool:
    """Whether a step has a note that the tune holds over it and no chord of a bar has."""
    had = {pc for chord, _ in bar if chord for pc in chord.pcs}
    held = {pitch % 12 for pitch in watched(view, step)}
    return step.chord is not None and bool(step.chord.pcs & held - had)


def ways_at(view: Passage, index: int, span: BarSpan) -> list[Way]:
    """Return the ways to fill a place in the colours they are made in, the plainest first.

    Swaps of several chords, colours of the one that is there, the chord as written, and what is
    offered for one place alone.
    """
    rows = rows_for(DEPTH, asked=True)
    structural = tuple(row for row in rows if not row.colour and not row.asked)
    maker = Maker(view, structural, {row.name: row.preference for row in rows}, CellEdges(), {})
    ways = [
        Way(row, cell.steps, (cell.start, cell.stop))
        for cell in cells_covering(maker, index)
        for row in cell.rows
    ]
    step = view.steps[index]
    start, end = max(step.start, span.start), min(step.end, span.start + span.pulses)
    ways += [
        Way(row.name, (offer.steps[0]._replace(start=start, pulses=end - start),))
        for row in rows
        if row.colour
        for offer in row.offers(view, index)
    ]
    ways.append(Way("", (step._replace(start=start, pulses=end - start),)))
    for row in rows:
        if row.asked:
            ways += [
                Way(row.name, offer.steps, (offer.start, offer.stop))
                for first in range(max(0, index + 1 - row.most), index + 1)
                for offer in row.offers(view, first)
                if offer.stop > index and all_agree(offer.steps)
            ]
    return ways


def _playable(view: Passage, way: Way) -> bool:
    """Whether no chord of a way is too short to reach, and all sound with what is beneath."""
    quick = any(seconds(view, step) < SHORTEST_S for step in way.steps)
    return fits_beneath(view, way.steps) and not quick


def _points(view: Passage, way: Way) -> float:
    """Return what a way gains on the written chords."""
    taste = find_swap(way.name).preference if way.name else PLAIN_COLOUR
    if way.over is None:
        return taste - PLAIN_COLOUR
    start, stop = way.over
    tastes = {way.name: taste}
    maker = Maker(view, (), tastes, CellEdges(), {})
    written = (
        maker.cell(place, place + 1, (view.steps[place],), ()) for place in range(start, stop)
    )
    return points_of(view, start, stop, way.steps, (way.name,), tastes) - lane_points(written)


def dressed(view: Passage, way: Way) -> Way:
    """Return a way in the colours its chords wear together, whatever the melody says.

    A chord that is kept grows no seventh that makes another family of it.
    """
    if way.over is None:
        return way
    start, stop = way.over
    made = view.replaced(Offer("", start, stop, way.steps))
    colours = [row for row in rows_for(DRESS_DEPTH) if row.colour]
    worn = [
        [worn for worn in ways_to_wear(made, at, colours, []) if worn.step.family == step.family]
        for at, step in enumerate(way.steps, start)
    ]
    return way._replace(steps=choose_colours(made, worn))


def _offer(
    scene: PlaceScene, way: Way, bars: Sequence[Bare], now: Sequence[Bare], place: int
) -> SwapOffer:
    span = scene.view.spans[place]
    symbols, beats = scene.played(bars[place])
    row = find_swap(way.name) if way.name else None
    changes = [
        BarChange(other.bar_index + 1, scene.played(old)[0], *scene.played(new))
        for other, old, new in zip(scene.view.spans, now, bars, strict=True)
        if other != span and whatever_its_spelling(old) != whatever_its_spelling(new)
    ]
    fits, melody = _verdict(scene.view, way, span)
    return SwapOffer(
        section=span.section,
        bar=span.bar_index + 1,
        symbols=symbols,
        beats=beats,
        name=way.name or AS_WRITTEN,
        depth=row.depth if row else 0,
        reason=row.reason if row else "The chords of the chart.",
        listen=row.listen if row else "",
        changes=tuple(changes),
        melody=melody,
        fits=fits,
        points=round(_points(replace(scene.view, melody=()), way), 6),
    )


def _verdict(view: Passage, way: Way, span: BarSpan) -> tuple[bool, str]:
    """Return whether the melody allows a way, and how its held notes in a bar sound over it."""
    flat_nine = not way.name or find_swap(way.name).flat_nine
    for step in way.steps:
        found = clash(view, step, flat_nine=flat_nine)
        if found is not None:
            return False, found.reason
    return True, "; ".join(
        words for step in way.steps for words in heard_as(view, step, span.start, span.pulses)
    )
