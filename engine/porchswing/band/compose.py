"""Put the band together: every part, the tempo map, and the texts over the music."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING

from porchswing.band.bass.bass_part import bass_part
from porchswing.band.drumming.count_part import count_part
from porchswing.band.drumming.drum_part import drums_part
from porchswing.band.extra_parts import line_part, melody_part, solo_part
from porchswing.band.offbeats import with_swung_lets
from porchswing.band.places import tune_seed
from porchswing.band.score import Label, Score
from porchswing.band.strumming.chord_part import chords_part
from porchswing.band.strumming.grip_spans import written_grips
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.shapes.model import Voicing
from porchswing.options import BandStyle
from porchswing.rhythm.tempo import tempo_map_for

if TYPE_CHECKING:
    from porchswing.grips.melody.solo_notes import Solo


def seeded(style: BandStyle, chart: Chart) -> BandStyle:
    """Return a style with a seed: its own, else the chart's."""
    return style if style.seed is not None else replace(style, seed=chart.seed)


def compose_score(
    chart: Chart,
    roadmap: Roadmap,
    voicing: Voicing,
    style: BandStyle,
    *,
    extra_parts: Collection[str] = (),
    line_string: int | None = None,
    solo: Solo | None = None,
    together: bool = False,
) -> Score:
    """Return the whole arrangement of a roadmap as written music.

    ``chart`` gives title and key; ``roadmap`` the bars in playing order; ``voicing`` the grips
    of the lane the roadmap plays. ``extra_parts`` names ``line`` and ``melody``, which stay silent
    otherwise; ``line_string`` is the string of the line (default: the chart's, else the
    smoothest); ``solo`` is the tune on top of its grips, where it is played; ``together`` says
    that both lanes are played at once. The last chord of a take that is no loop is held to the
    end. A loop runs round without a count-in unless one is asked for; then it is counted in every
    time.
    """
    style = seeded(style, chart)
    tempo_map = tempo_map_for(roadmap, style)
    felt_bpm = tempo_map.segments[0].quarter_bpm / float(roadmap.meter.felt_beats)
    counted = 0 if style.loop and style.count_in_bars is None else style.count_in_bars
    count, spoken = count_part(roadmap.meter, felt_bpm, counted)
    chords = chords_part(roadmap, voicing, style, together=together)
    bass, drums = bass_part(roadmap, style, chart.key), drums_part(roadmap, style)
    extra = []
    if "line" in extra_parts:
        extra.append(line_part(roadmap, voicing, line_string))
    if "melody" in extra_parts:
        extra.append(melody_part(roadmap))
    if solo is not None:
        extra.append(solo_part(roadmap, solo))
    key = Label(Fraction(0), "key", str(chart.key))
    return Score(
        title=chart.title,
        parts=tuple(
            with_swung_lets(part, tempo_map.swing_unit_beats)
            for part in (chords, bass, drums, count, *extra)
        ),
        tempo_map=tempo_map,
        labels=(*spoken, key, *_labels(roadmap, voicing)),
        count_in_beats=-spoken[0].onset_beats if spoken else Fraction(0),
        end_beats=roadmap.beats,
        meter=(roadmap.meter.count, roadmap.meter.unit),
        key=str(chart.key),
        seed=tune_seed(roadmap, style.seed),
    )


def _labels(roadmap: Roadmap, voicing: Voicing) -> list[Label]:
    """Return section names where a section begins, and each chord with its grip."""
    labels: list[Label] = []
    for _, bars in groupby(roadmap.bars, key=lambda bar: bar.visit):
        first = next(bars)
        labels.append(Label(first.start_beats, "section", first.section))
    for held in written_grips(roadmap, voicing):
        labels.append(Label(held.onset_beats, "chord", held.symbol))
        if held.grip is not None:
            marks = f" ({', '.join(held.marks)})" if held.marks else ""
            labels.append(Label(held.onset_beats, "grip", f"{held.symbol} {held.grip}{marks}"))
    return sorted(labels, key=lambda label: label.onset_beats)
