"""A chart's text read for the bench, each lane with its bars and grips, and remembered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.errors import GripError
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead
from porchswing.option_kinds import swing_setting
from porchswing.options import BandStyle, Choices
from porchswing.take import choose_grips, lead_of, road_of

_STYLE = ("strum", "bass", "drums")
_CHOICES = ("lane", "depth", "key", "grips", "max_fret", "left_handed")


@dataclass(frozen=True, slots=True)
class LaneReading:
    """One lane: the chart it is heard from, its bars in playing order, its grips.

    ``voicing`` is ``None`` where a chord cannot be gripped; ``trouble`` then says why.
    """

    chart: Chart
    roadmap: Roadmap
    voicing: Voicing | None
    trouble: str = ""


def choices_of(controls: Mapping[str, Any]) -> Choices:
    """Return the choices of the controls; what they leave out stays the chart's.

    ``tempo`` counts felt beats a minute, ``swing`` is a ratio or a text as charts write it.

    >>> choices_of({"depth": 3, "tempo": 92, "swing": 1.5}).style.tempo_bpm
    92.0
    """
    style: dict[str, Any] = {name: controls[name] for name in _STYLE if controls.get(name)}
    if controls.get("tempo") is not None:
        style["tempo_bpm"] = float(controls["tempo"])
    if controls.get("swing") is not None:
        style["swing"] = swing_setting(controls["swing"])
    own = {name: controls[name] for name in _CHOICES if controls.get(name) is not None}
    return Choices(style=BandStyle(**style), **own)


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
        source = lead_of_text(text, for_the_lead(choices))
    else:
        source = lead_of(read_text(text), choices)
    chart, roadmap = source.chart, road_of(source.chart, choices)
    try:
        return LaneReading(chart, roadmap, choose_grips(source, choices))
    except GripError as error:
        return LaneReading(chart, roadmap, None, str(error))


def for_the_lead(choices: Choices) -> Choices:
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
