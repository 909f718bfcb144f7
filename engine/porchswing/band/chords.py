"""The chord part: the strumming ukulele, from a roadmap and its grips to written strokes.

The right hand (:mod:`porchswing.band.right_hand`) chooses strokes from the pattern, the left
(:mod:`porchswing.band.left_hand`) says how long they sound and adds its ornaments; how loud each
one is comes last. Deterministic: the seed, the part and the bar decide, nothing else.
"""

from __future__ import annotations

from dataclasses import replace

from porchswing.band.held import held_grips
from porchswing.band.left_hand import strokes_of
from porchswing.band.played import played_changes
from porchswing.band.right_hand import BarPlan, bar_plans, with_pushes
from porchswing.band.score import PartScore, Stroke
from porchswing.band.style import BandStyle
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.model import Voicing
from porchswing.rhythm.tempo_plan import tempo_map_for

FULL_BACKBEAT = 0.22
"""How much louder 2 and 4 are than 1 and 3 when the backbeat is 1."""

LOUDNESS_RANGE = (0.06, 1.0)


def chords_part(roadmap: Roadmap, voicing: Voicing, style: BandStyle) -> PartScore:
    """Return the written strokes of the chord part.

    ``voicing`` must hold the grips of the lane the roadmap plays. Onsets are unswung quarter
    beats; no stroke lasts beyond its chord, and no string is struck while N.C. stands.
    """
    plans = bar_plans(roadmap, style)
    changes = with_pushes(held_grips(roadmap, voicing), plans, roadmap, style)
    played = played_changes(changes, plans)
    strokes = strokes_of(played, plans, tempo_map_for(roadmap, style), style)
    events = tuple(_voiced_loudness(roadmap, plans, style, strokes))
    names = sorted({f"strum/{plan.pattern.name}" for plan in plans})
    return PartScore("chords", events, voicing.tuning.instrument, tuple(names))


def _voiced_loudness(
    roadmap: Roadmap, plans: tuple[BarPlan, ...], style: BandStyle, strokes: list[Stroke]
) -> list[Stroke]:
    """Return the strokes with the phrase's shape and the backbeat in their velocities."""
    low, high = LOUDNESS_RANGE
    bars, at, louder = roadmap.bars, 0, []
    for stroke in strokes:
        while at + 1 < len(bars) and bars[at + 1].start_beats <= stroke.onset_beats:
            at += 1
        plan, inside = plans[at], stroke.onset_beats - bars[at].start_beats
        backbeat = plan.pattern.backbeat if style.backbeat is None else style.backbeat
        lean = 0.0
        if backbeat and roadmap.meter.unit == 4 and inside.denominator == 1:
            lean = FULL_BACKBEAT * backbeat * (0.5 if inside % 2 else -0.5)
        velocity = min(high, max(low, stroke.velocity + plan.energy + lean))
        louder.append(replace(stroke, velocity=round(velocity, 4)))
    return louder
