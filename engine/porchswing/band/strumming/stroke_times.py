"""How long the fretting hand has for each change: from the last stroke before it to its first."""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from itertools import chain

from porchswing.band.strumming.right_hand import bar_plans
from porchswing.band.strumming.stroke_assignment import PITCHLESS
from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.grips.drawings.moves import StrokeTimes
from porchswing.options import BandStyle
from porchswing.rhythm.tempo import tempo_map_for


def stroke_times(roadmap: Roadmap, style: BandStyle) -> StrokeTimes:
    """Return the time every chord of a roadmap leaves the hand, by the beat it enters on.

    The strokes are those of the strum in force, swung at the tempo; scratched ones need no grip.
    """
    tempo = tempo_map_for(roadmap, style)
    strokes = [
        move.onset_beats
        for plan in bar_plans(roadmap, style)
        for move in plan.moves
        if move.cell.kind not in PITCHLESS and move.cell.kind != "rest"
    ]
    played_s = [tempo.seconds(tempo.warp(onset)) for onset in strokes]
    has_ms: dict[Fraction, float] = {}
    entries = chain.from_iterable(with_onsets(bar.slots, bar.start_beats) for bar in roadmap.bars)
    for onset, _ in entries:
        first = bisect_left(strokes, onset)
        if 0 < first < len(strokes):
            has_ms[onset] = 1000 * (played_s[first] - played_s[first - 1])
    return StrokeTimes(style.felt_bpm(roadmap.tempo_bpm), has_ms)
