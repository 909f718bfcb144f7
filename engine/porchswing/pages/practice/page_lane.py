"""What the page is made from: one record for each lane the student can hear."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from porchswing.band.score import Score
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import LAST_TIME
from porchswing.errors import OptionError
from porchswing.grips.shapes.model import Voicing
from porchswing.performance.model import Performance

PAGE_CHORUSES = 2
"""Choruses that a page is made from: the first to repeat, the last to close with."""

_ROLES = ("intro", "form", "ending")

_BarKey = tuple[str, tuple[tuple[str, int], ...], int]
"""Role, section and bar in every lane, and the how-manieth time of these in its chorus."""


@dataclass(frozen=True, slots=True)
class PageLane:
    """One lane as arranged and performed; ``name`` is ``plain`` or ``swing``.

    Perform it with two choruses or more: the page repeats the first as often as the student
    likes and closes with the last, so that the ending is led into.
    """

    name: str
    roadmap: Roadmap
    voicing: Voicing
    score: Score
    performance: Performance


def check_lanes(lanes: Sequence[PageLane]) -> None:
    """Raise :class:`OptionError` unless the lanes can share one page."""
    if not lanes:
        raise OptionError("a practice page needs at least one lane, got none")
    names = [lane.name for lane in lanes]
    if len(set(names)) != len(names):
        raise OptionError(f"a practice page needs lanes of different names, got {names}")
    first = lanes[0]
    if not first.roadmap.bars:
        raise OptionError("a practice page needs at least one bar, got none")
    for lane in lanes[1:]:
        shared = {
            "bars": _layout(lane.roadmap) == _layout(first.roadmap),
            "tempo": lane.score.tempo_map == first.score.tempo_map,
            "count-in": lane.score.count_in_beats == first.score.count_in_beats,
        }
        for what, is_shared in shared.items():
            if not is_shared:
                raise OptionError(f"lanes {first.name} and {lane.name} do not have the same {what}")


def _layout(roadmap: Roadmap) -> list[tuple[object, ...]]:
    """Return section, bar, place and length of every bar; a last time is its section's."""
    return [
        (bar.section.removesuffix(LAST_TIME), bar.bar, bar.start_beats, bar.beats, bar.role)
        for bar in roadmap.bars
    ]


def places(*roads: Sequence[PlayedBar]) -> tuple[int, ...]:
    """Return the place of every played bar, counted from 0; ``roads`` are the bars of each lane.

    Intro, the first chorus, the bars that later choruses alone play (a last time), ending: bars
    of later choruses otherwise have the places of the first. All lanes have the same places, also
    where only one of them has a section of its own for the last time.
    """
    keys = tuple(_keys(*roads))
    order = sorted(dict.fromkeys(keys), key=lambda key: _ROLES.index(key[0]))
    numbers = {key: number for number, key in enumerate(order)}
    return tuple(numbers[key] for key in keys)


def places_among(bars: Sequence[PlayedBar], page_bars: Sequence[PlayedBar]) -> tuple[int, ...]:
    """Return the places that ``bars`` have on a page made from ``page_bars``.

    A section by itself has the place where the tune plays it first, be it intro or ending.
    """
    numbers = dict(zip(_keys(page_bars), places(page_bars), strict=True))
    by_name = {key[1:]: place for key, place in reversed(numbers.items())}
    return tuple(numbers.get(key, by_name[key[1:]]) for key in _keys(bars))


def lane_places(lanes: Sequence[PageLane]) -> tuple[int, ...]:
    """Return the place of every played bar of a page's lanes."""
    return places(*(lane.roadmap.bars for lane in lanes))


def shown_bars(bars: Sequence[PlayedBar], numbers: Sequence[int]) -> tuple[PlayedBar, ...]:
    """Return one bar for each place: the first that is played there."""
    by_place: dict[int, PlayedBar] = {}
    for place, bar in zip(numbers, bars, strict=True):
        by_place.setdefault(place, bar)
    return tuple(by_place[place] for place in sorted(by_place))


def _keys(*roads: Sequence[PlayedBar]) -> Iterator[_BarKey]:
    """Yield what distinguishes the bars of a page, for every played bar."""
    seen: Counter[tuple[object, ...]] = Counter()
    for bars in zip(*roads, strict=True):
        role = bars[0].role
        names = tuple((bar.section, bar.bar) for bar in bars)
        here = (role, bars[0].chorus, names)
        seen[here] += 1
        yield role, names, seen[here]
