"""The chord part: the strumming ukulele, from a roadmap and its grips to written strokes.

The right hand (:mod:`porchswing.band.strumming.right_hand`) chooses strokes from the pattern, the
left (:mod:`porchswing.band.strumming.left_hand`) says how long they sound and adds its ornaments.
Deterministic: the tune's seed, the part and the bar decide, nothing else.
"""

from __future__ import annotations

from dataclasses import replace

from porchswing.band.score import PartScore
from porchswing.band.strumming.grip_spans import held_grips
from porchswing.band.strumming.left_hand import strokes_of
from porchswing.band.strumming.right_hand import bar_plans, with_pushes
from porchswing.band.strumming.stroke_assignment import played_changes
from porchswing.band.tune_seed import tune_seed
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.shapes.model import Voicing
from porchswing.options import BandStyle
from porchswing.rhythm.tempo_plan import tempo_map_for


def chords_part(
    roadmap: Roadmap, voicing: Voicing, style: BandStyle, *, together: bool = False
) -> PartScore:
    """Return the written strokes of the chord part.

    ``voicing`` must hold the grips of the lane the roadmap plays. Onsets are unswung quarter
    beats; no stroke lasts beyond its chord, and no string is struck while N.C. stands. Where
    both lanes are played ``together``, no string is hammered or pulled: it would sound tones that
    neither chord has, or the next chord's under the other lane's last one.
    """
    style = replace(style, seed=tune_seed(roadmap, style.seed))
    plans = bar_plans(roadmap, style)
    changes = with_pushes(held_grips(roadmap, voicing), plans, roadmap, style)
    played = played_changes(changes, plans)
    tempo = tempo_map_for(roadmap, style)
    events = tuple(strokes_of(played, plans, tempo, style, may_hammer=not together))
    names = sorted({f"strum/{plan.pattern.name}" for plan in plans})
    return PartScore("chords", events, voicing.tuning.instrument, tuple(names))
