"""What the page is made from: one record for each lane the student can hear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from porchswing.band.score import Score
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import LAST_TIME
from porchswing.errors import OptionError
from porchswing.grips.shapes.model import Voicing
from porchswing.performance.model import Performance


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
        if _layout(lane.roadmap) != _layout(first.roadmap):
            raise OptionError(f"lanes {first.name} and {lane.name} do not have the same bars")
        if lane.score.tempo_map != first.score.tempo_map:
            raise OptionError(f"lanes {first.name} and {lane.name} do not have the same tempo")
        if lane.score.count_in_beats != first.score.count_in_beats:
            raise OptionError(f"lanes {first.name} and {lane.name} do not have the same count-in")


def _layout(roadmap: Roadmap) -> list[tuple[object, ...]]:
    """Return section, bar, place and length of every bar; a last time is its section's."""
    return [
        (bar.section.removesuffix(LAST_TIME), bar.bar, bar.start_beats, bar.beats, bar.role)
        for bar in roadmap.bars
    ]


def places(bars: Sequence[PlayedBar]) -> tuple[int, ...]:
    """Return the place of every played bar: intro, one chorus, ending, counted from 0.

    Bars of later choruses have the places of the first.
    """
    first_chorus = min((bar.chorus for bar in bars if bar.role == "form"), default=1)
    intro = sum(bar.role == "intro" for bar in bars)
    form = sum(bar.role == "form" and bar.chorus == first_chorus for bar in bars)
    first_place = {"intro": 0, "form": intro, "ending": intro + form}
    seen: dict[tuple[str, int], int] = {}
    found = []
    for bar in bars:
        stretch = (bar.role, bar.chorus)
        found.append(first_place[bar.role] + seen.get(stretch, 0))
        seen[stretch] = seen.get(stretch, 0) + 1
    return tuple(found)


def shown_bars(bars: Sequence[PlayedBar]) -> tuple[PlayedBar, ...]:
    """Return one bar for each place: the first that is played there."""
    by_place: dict[int, PlayedBar] = {}
    for place, bar in zip(places(bars), bars, strict=True):
        by_place.setdefault(place, bar)
    return tuple(by_place[place] for place in sorted(by_place))
