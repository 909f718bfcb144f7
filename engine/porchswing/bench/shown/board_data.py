"""The tune as bars with both lanes, grips, numerals, lines and the hand's work, ready for JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from porchswing.band.strumming.stroke_times import stroke_times
from porchswing.bench.shown.tune_reading import LaneReading, choices_of, lane_of_text
from porchswing.chart.model import LANES, Chart, Section
from porchswing.chart.roadmap import PlayedBar, with_onsets
from porchswing.errors import ChartError, Problem
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.drawings.moves import moves
from porchswing.grips.search.best_key import TONICS
from porchswing.grips.shapes.model import Grip, Voicing, shape_of
from porchswing.harmony.analysis.roman import ReadSlot, read_chart_roman
from porchswing.offered.bar_text import TextEdit, rows_of
from porchswing.offered.hint_edits import check_text, hint_edit, unknown_patterns
from porchswing.options import Choices
from porchswing.pages.practice.board_html import HeldGrip
from porchswing.pages.practice.page_lane import places, shown_bars
from porchswing.theory.notes import with_signs


def look(text: str, controls: Mapping[str, Any]) -> dict[str, Any]:
    """Return the boards of a chart's text, or what is wrong with it."""
    choices = choices_of(controls)
    try:
        lanes = {lane: lane_of_text(text, replace(choices, lane=lane)) for lane in LANES}
    except ChartError as error:
        return {"errors": [problem_row(text, problem) for problem in error.problems]}
    if unknown := [problem_row(text, problem) for problem in unknown_patterns(text)]:
        return {"errors": unknown}
    chart, own = lanes["plain"].chart, lanes[choices.lane]
    drawings: dict[HeldGrip, int] = {}
    numbers = places(*(lanes[lane].roadmap.bars for lane in LANES))
    rows = [
        {
            "place": place,
            "section": bar.section,
            "bar": bar.bar,
            "role": bar.role,
            "beats": float(bar.beats),
            "settings": _settings(chart.section(bar.section), bar.bar - 1),
        }
        for place, bar in enumerate(shown_bars(lanes["plain"].roadmap.bars, numbers))
    ]
    for lane in LANES:
        reads: dict[tuple[str, int], list[ReadSlot]] = {}
        for read in read_chart_roman(lanes[lane].chart, lane=lane):
            reads.setdefault((read.section, read.bar), []).append(read)
        for row, bar in zip(rows, shown_bars(lanes[lane].roadmap.bars, numbers), strict=True):
            own_reads = reads.get((bar.section, bar.bar), [])
            row[lane] = _slots(chart, bar, lanes[lane].voicing, own_reads, drawings)
    shapes = shape_rows(own, drawings)
    return {
        "errors": [],
        "title": chart.title,
        "key": str(chart.key),
        "meter": str(chart.meter),
        "units": chart.meter.count,
        "unit": float(chart.meter.unit_beats),
        "tempo": choices.style.felt_bpm(chart.tempo_bpm),
        "bars": rows,
        "grips": [grip_svg(held.grip) for held in drawings],
        "frets": [str(held.grip) for held in drawings],
        "written": {s.name: s.swing is not None for s in chart.sections},
        "spans": _spans(text, chart) if choices.key is None else {},
        "trouble": {lane: lanes[lane].trouble for lane in LANES if lanes[lane].trouble},
        "strings": _strings(own.voicing),
        "work": work_curve(own, numbers, choices),
        "shapes": shapes,
    }


def doubtful(text: str) -> dict[str, Any]:
    """Return what is wrong or doubtful about a text that reads as a chart."""
    wrong, doubts = check_text(text)
    return {
        "errors": [problem_row(text, problem) for problem in wrong],
        "doubts": [problem_row(text, problem) for problem in doubts],
    }


def problem_row(text: str, problem: Problem) -> dict[str, Any]:
    """Return a problem with the edit that mends it, if its hint is one."""
    edit = hint_edit(text, problem)
    return {
        "line": problem.line,
        "column": problem.column,
        "width": problem.width,
        "message": problem.message,
        "hint": problem.hint,
        "mend": edit_row(text, edit) if edit else None,
    }


def edit_row(text: str, edit: TextEdit) -> list[int | str]:
    """Return an edit as a browser counts: places in UTF-16 units."""
    return [_units(text, edit.start), _units(text, edit.end), edit.insert]


def _units(text: str, place: int) -> int:
    return place if text.isascii() else len(text[:place].encode("utf-16-le")) // 2


def _settings(section: Section, index: int) -> list[str]:
    from porchswing.chart.language.header import setting_values

    said = dict(section.settings).get(index)
    return [f"{key}: {value}" for key, value in setting_values(said).items()] if said else []


def _slots(
    chart: Chart,
    bar: PlayedBar,
    voicing: Voicing | None,
    reads: Sequence[ReadSlot],
    drawings: dict[HeldGrip, int],
) -> list[dict[str, Any]]:
    voiced = voicing.voiced(bar) if voicing else ()
    found = []
    for index, (at, slot) in enumerate(with_onsets(bar.slots)):
        grip = voiced[index].grip if index < len(voiced) else None
        reading = reads[index].reading if index < len(reads) else None
        found.append(
            {
                "beat": float(1 + at / chart.meter.unit_beats),
                "at": float(at),
                "text": with_signs(slot.chord.symbol) if slot.chord else "N.C.",
                "numeral": with_signs(reading.numeral) if reading else "",
                "grip": None
                if grip is None
                else drawings.setdefault(HeldGrip.of(grip), len(drawings)),
                "midi": list(grip.midi) if grip else [],
                "locked": slot.lock is not None,
                "marks": list(slot.marks),
            }
        )
    return found


def _spans(text: str, chart: Chart) -> dict[str, list[list[int]]]:
    """Return the position of every bar of every lane in the text, by ``section lane``."""
    return {
        f"{section.name} {lane}": [
            [_units(text, bar.start), _units(text, bar.end)]
            for row in rows_of(text, section)
            if row.lane == lane
            for bar in row.bars
        ]
        for section in chart.sections
        for lane in LANES
    }


def _strings(voicing: Voicing | None) -> list[str]:
    if voicing is None:
        return []
    names = with_signs(TONICS["major"]).split()
    return [
        f"{voicing.tuning.strings - index}: {names[pitch % 12]}"
        for index, pitch in enumerate(voicing.tuning.open_midi)
    ]


def work_curve(lane: LaneReading, numbers: Sequence[int], choices: Choices) -> list[dict[str, Any]]:
    """Return every change of grips: what the hand needs and has, in milliseconds."""
    if lane.voicing is None:
        return []
    place_of = {
        (bar.section, bar.bar): place
        for place, bar in reversed(list(zip(numbers, lane.roadmap.bars, strict=True)))
    }
    return [
        {
            "place": place_of[move.after.section, move.after.bar],
            "section": move.after.section,
            "bar": move.after.bar,
            "beat": float(move.after.beat),
            "needs": round(move.needs_ms),
            "has": round(move.has_ms),
            "words": str(move),
            "top": round(min(move.top_bpm, 999)),
        }
        for move in moves(
            lane.voicing, lane.roadmap, strokes=stroke_times(lane.roadmap, choices.style)
        )
    ]


def shape_rows(lane: LaneReading, drawings: dict[HeldGrip, int]) -> list[dict[str, Any]]:
    """Return the shapes of a lane, the most used first: a shape is a grip without its position."""
    used: dict[tuple[int | None, ...], list[Grip]] = {}
    for slot in lane.voicing.slots if lane.voicing else ():
        if slot.grip is not None:
            used.setdefault(shape_of(slot.grip).frets, []).append(slot.grip)
    ranked = sorted(used.values(), key=lambda grips: -len(grips))
    return [
        {
            "grip": drawings.setdefault(HeldGrip.of(grips[0]), len(drawings)),
            "times": len(grips),
            "frets": sorted({str(grip) for grip in grips}),
        }
        for grips in ranked
    ]
