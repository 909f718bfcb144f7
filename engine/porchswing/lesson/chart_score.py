"""A chart as a score for notation programs, both lanes arranged as they are played."""

from __future__ import annotations

from dataclasses import replace

from porchswing.chart.model import LANES, Chart
from porchswing.grips.drawings.lines import best_line
from porchswing.notation.writing.musicxml import score_musicxml
from porchswing.notation.writing.written_parts import NotatedLane
from porchswing.options import Choices
from porchswing.take import choose_solo, lead_and_grips, road_of, take_along


def notated_score(chart: Chart, choices: Choices) -> str:
    """Return both lanes of a chart as MusicXML 4.0, the swing lane first.

    The line is that of the string asked for, else of the string with the best line. The plain
    lane always has the grips a beginner would take.
    """
    lanes: list[NotatedLane] = []
    string = choices.line.string if choices.line else None
    shown = chart
    solo = None
    for lane in reversed(LANES):
        grips_kind = choices.grips if lane == "swing" else None
        own = replace(choices, lane=lane, grips=grips_kind, melody_on_top=False)
        lead, grips = lead_and_grips(chart, own)
        roadmap = road_of(lead.chart, own)
        take = take_along(lead.chart, roadmap, grips, own)
        lanes.append(NotatedLane(lane, roadmap, grips, take.score))
        if lane == "swing":
            shown = lead.chart
            best = best_line(grips)
            string = string or (best.string if best else None)
            solo = choose_solo(lead, choices) if choices.melody_on_top else None
    if choices.style.swing is not None:
        shown = replace(shown, settings=replace(shown.settings, swing=choices.style.swing))
    return score_musicxml(shown, lanes, line_string=string, solo=solo)
