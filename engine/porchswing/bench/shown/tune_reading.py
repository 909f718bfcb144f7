"""A chart's text read for the bench, each lane with its bars and grips, and remembered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.errors import GripError
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead
from porchswing.options import Choices
from porchswing.take import choose_grips, lead_of, road_of


@dataclass(frozen=True, slots=True)
class LaneReading:
    """One lane: the chart it is heard from, its bars in playing order, its grips.

    ``voicing`` is ``None`` where a chord cannot be gripped; ``trouble`` then says why.
    """

    chart: Chart
    roadmap: Roadmap
    voicing: Voicing | None
    trouble: str = ""


@lru_cache(maxsize=8)
def read_text(text: str) -> Chart:
    """Return the chart of a text."""
    return parse_chart(text)


@lru_cache(maxsize=8)
def lead_of_text(text: str, choices: Choices) -> Lead:
    """Return the lead of a text: a swing lane in every section."""
    return lead_of(read_text(text), replace(choices, lane="swing"))


@lru_cache(maxsize=24)
def lane_of_text(text: str, choices: Choices) -> LaneReading:
    """Return the lane of a text that the choices name."""
    if choices.lane == "swing":
        source = lead_of_text(text, _for_the_lead(choices))
    else:
        source = lead_of(read_text(text), choices)
    chart, roadmap = source.chart, road_of(source.chart, choices)
    try:
        return LaneReading(chart, roadmap, choose_grips(source, choices))
    except GripError as error:
        return LaneReading(chart, roadmap, None, str(error))


def _for_the_lead(choices: Choices) -> Choices:
    """Return only what a lead depends on, so that a tempo does not make it anew."""
    return Choices(
        key=choices.key,
        depth=choices.depth,
        use=choices.use,
        avoid=choices.avoid,
        together=choices.together,
    )


def forget_readings() -> None:
    """Forget every reading: a pattern or the hand changed."""
    for remembered in (read_text, lead_of_text, lane_of_text):
        remembered.cache_clear()
