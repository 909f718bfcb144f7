"""Every lane that the offers for one bar would make, with the swap that its offer names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from porchswing.chart.model import Chart
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.swap_report import swaps_of
from porchswing.harmony.passage.flow import flow_of, written
from porchswing.harmony.places.place_scene import LANE_DEPTH, scene_at
from porchswing.harmony.places.swap_offers import dressed, ways_at


def offered_lanes(chart: Chart, section: str, bar: int) -> Iterator[tuple[str, Lead]]:
    """Yield the name of each way to play a bar, and the lead that has it.

    Nothing where the stretch may end the tune: there an offer may lead back to the top alone.
    """
    scene = scene_at(chart, section, bar)
    ways_out = flow_of(chart).follows.get((section, scene.view.spans[-1].bar_index), (None,))
    if None in ways_out:
        return
    swung = any(each.swing is None for each in chart.sections)
    played = reharmonize(chart, LANE_DEPTH).chart if swung else chart
    own, span = played.section(section), scene.span(bar)
    first, last = scene.written_at(span.start), scene.written_at(span.start + span.pulses - 1)
    for index in range(first, last + 1):
        if scene.view.steps[index].freedom == "kept":
            continue
        quiet = replace(scene.view, melody=())
        for way in ways_at(quiet, index, span):
            lane = scene.joined(dressed(quiet, way).steps)
            if lane is None:
                continue
            whole = replace(scene.view, steps=lane)
            bars = list(own.lane("swing"))
            made = written(whole, own.plain, chart.meter.unit_beats)
            for each, new in zip(scene.view.spans, made, strict=True):
                bars[each.bar_index] = new
            sections = tuple(
                replace(each, swing=tuple(bars)) if each.name == section else each
                for each in played.sections
            )
            swaps = tuple(swaps_of(section, whole))
            yield way.name, Lead(replace(played, sections=sections), swaps=swaps)
