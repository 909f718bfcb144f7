"""The chord part: the strumming ukulele, from a roadmap and its grips to written strokes.

The right hand (:mod:`porchswing.band.strumming.right_hand`) chooses strokes from the pattern, each
sounds a chord (:mod:`porchswing.band.strumming.stroke_assignment`), and the left hand, here, says
how long and adds its ornaments. A closed grip is released to stop it (the short chunk of swing); an
open one rings until the next stroke. Before a new grip the last stroke is shortened by the time the
hand needs for the move, so nothing rings across a change. Ornaments are sparing. The tune's seed,
the part and the bar decide, nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from random import Random

from porchswing.band.places import tune_seed
from porchswing.band.score import PartScore, Stroke
from porchswing.band.strumming.grip_spans import held_grips
from porchswing.band.strumming.ornaments import beats_of, falling, glided, ornamented
from porchswing.band.strumming.right_hand import BarPlan, PlacedStroke, bar_plans, with_pushes
from porchswing.band.strumming.stroke_assignment import PITCHLESS, Played, played_changes
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.shapes.model import Grip, Voicing
from porchswing.grips.shapes.work import change_time_ms
from porchswing.options import BandStyle
from porchswing.rhythm.strum import StrumPattern
from porchswing.rhythm.tempo import TempoMap, tempo_map_for

SHORT_BEATS = Fraction(1, 4)
SHORT_OFFBEATS = {"swing": Fraction(1, 2), "straight": Fraction(3, 8)}
"""How long a short stroke sounds at most, on the beat and off it (where swing squeezes it)."""

SCRATCH_BEATS = Fraction(1, 4)
LEAST_SHARE = Fraction(3, 5)
"""A stroke before a hard change keeps at least this share of its time."""

MOVES_BETWEEN_SLIDES = 2
"""A slide is never on two changes of grip running."""

LONGEST_MOVE_S = 0.2
"""No more than this is taken from a stroke for the hand's way to the next grip (our choice)."""

FULL_BACKBEAT = 0.22
"""How much louder 2 and 4 are than 1 and 3 when the backbeat is 1."""

LOUDNESS_RANGE = (0.06, 1.0)


def chords_part(
    roadmap: Roadmap, voicing: Voicing, style: BandStyle, *, together: bool = False
) -> PartScore:
    """Return the written strokes of the chord part.

    ``voicing`` must hold the grips of the lane the roadmap plays. Onsets are unswung quarter
    beats; no stroke lasts beyond its chord, and no string is struck during N.C. Where
    both lanes are played ``together``, no string is hammered or pulled: it would sound tones that
    neither chord has, or the next chord's under the other lane's last one.
    """
    style = replace(style, seed=tune_seed(roadmap, style.seed))
    plans = bar_plans(roadmap, style)
    changes = with_pushes(held_grips(roadmap, voicing), plans, roadmap, style)
    played = played_changes(changes, plans)
    tempo = tempo_map_for(roadmap, style)
    events = tuple(_strokes_of(played, plans, tempo, style, may_hammer=not together))
    names = sorted({f"strum/{plan.pattern.name}" for plan in plans})
    return PartScore("chords", events, voicing.tuning.instrument, tuple(names))


def _strokes_of(
    played: Sequence[Played],
    plans: Sequence[BarPlan],
    tempo: TempoMap,
    style: BandStyle,
    *,
    may_hammer: bool,
) -> list[Stroke]:
    """Return the written strokes of all changes, in order, with the left hand's work.

    Without ``may_hammer`` no string is hammered or pulled: each sounds tones of its chord alone.
    """
    strokes: list[Stroke] = []
    before: Played | None = None
    moves_since_slide = MOVES_BETWEEN_SLIDES
    for index, each in enumerate(played):
        after = played[index + 1] if index + 1 < len(played) else None
        own = _sounding(each, after, plans, tempo, style)
        if before is None or before.change.grip != each.change.grip:
            moves_since_slide += 1
        if own and "slide" in each.change.marks:
            own[0] = glided(own[0], -1, tempo)
        elif (
            own
            and before
            and not each.change.marks
            and not (after and "slide" in after.change.marks)
        ):
            may_slide = moves_since_slide >= MOVES_BETWEEN_SLIDES
            own = ornamented(own, before, after, tempo, style, may_slide, may_hammer=may_hammer)
        if own and own[0].slide_frets:
            moves_since_slide = 0
        if own and "fall" in each.change.marks:
            own[-1] = falling(own[-1], each)
        strokes.extend(own)
        before = each
    return strokes if style.loop else _ended(strokes, played, plans, style)


def _sounding(
    played: Played,
    after: Played | None,
    plans: Sequence[BarPlan],
    tempo: TempoMap,
    style: BandStyle,
) -> list[Stroke]:
    """Return a change's strokes with their lengths and loudness, before any ornament."""
    change = played.change
    if change.grip is None:
        return []
    is_stopped = change.grip.is_closed and "hold" not in change.marks
    strokes = []
    for number, move in enumerate(played.moves):
        onset, cell, plan = move.onset_beats, move.cell, plans[move.bar]
        is_last = number == len(played.moves) - 1
        stop = change.end_beats if is_last else played.moves[number + 1].onset_beats
        room = stop - onset
        rests = [rest - onset for rest in played.rests if onset < rest < stop]
        length = rests[0] if rests else room
        if not rests or cell.is_short or cell.kind in PITCHLESS:
            length = _length(move, length, plan.pattern, is_stopped)
        if is_last and after and after.change.grip and after.change.grip != change.grip:
            move_s = change_time_ms(change.grip, after.change.grip) / 1000
            hand = beats_of(min(LONGEST_MOVE_S, move_s), tempo, onset)
            length = min(length, max(room - hand, room * LEAST_SHARE))
        strokes.append(
            Stroke(
                onset_beats=onset,
                duration_beats=length,
                grip=change.grip,
                direction=cell.direction,
                kind=cell.kind,
                velocity=_loudness(move, plan, style.backbeat),
                strings=_found_strings(cell.strings, change.grip),
            )
        )
    return strokes


def _loudness(move: PlacedStroke, plan: BarPlan, backbeat: float | None) -> float:
    """Return the velocity, 0 to 1, of a move made in a bar.

    ``backbeat`` from 0 to 1 overrules the pattern's own; in meters of three the lean is on
    every beat but the first, in n/8 there is none.
    """
    lean = 0.0
    share = plan.pattern.backbeat if backbeat is None else backbeat
    if share and plan.pattern.meter.unit == 4:
        inside = move.onset_beats - plan.start_beats
        if inside.denominator == 1:
            is_even = plan.pattern.meter.count % 2 == 0
            leans = inside.numerator % 2 == 1 if is_even else inside > 0
            lean = FULL_BACKBEAT * share * (0.5 if leans else -0.5)
    low, high = LOUDNESS_RANGE
    return round(min(high, max(low, move.cell.loudness + plan.energy + lean)), 4)


def _found_strings(strings: tuple[int, ...], grip: Grip) -> tuple[int, ...]:
    """Return the strings a pattern names, each moved to the nearest one this grip sounds."""
    if not strings:
        return ()
    sounding = grip.sounding_strings
    near = {min(sounding, key=lambda have: (abs(have - s), have)) for s in strings if sounding}
    return tuple(sorted(near, reverse=True))


def _length(move: PlacedStroke, gap: Fraction, pattern: StrumPattern, is_stopped: bool) -> Fraction:
    """Return how long a stroke sounds inside the gap before the next one.

    ``is_stopped`` is true where the fretting hand releases the grip to stop it.
    """
    if move.cell.kind in PITCHLESS:
        return min(gap, SCRATCH_BEATS)
    if move.cell.is_short:
        is_on_beat = move.onset_beats.denominator == 1
        return min(gap, SHORT_BEATS if is_on_beat else SHORT_OFFBEATS[pattern.feel])
    if not is_stopped or move.cell.kind == "tremolo":
        return gap
    return _rung(gap, pattern.damp)


@lru_cache(maxsize=1024)
def _rung(gap: Fraction, damp: float) -> Fraction:
    """Return how long of its gap a closed grip sounds; a twentieth is left at full damping."""
    return gap * Fraction(20 - round(19 * damp), 20)


def _ended(
    strokes: list[Stroke], played: Sequence[Played], plans: Sequence[BarPlan], style: BandStyle
) -> list[Stroke]:
    """Let the last chord ring, shaken where a closed grip allows, or fall off the neck."""
    last = played[-1] if played else None
    if not strokes or last is None or last.change.grip is None:
        return strokes
    marks, final = set(last.change.marks), strokes[-1]
    if marks & {"stop", "chuck", "fall"} or final.kind in PITCHLESS:
        return strokes
    chance = Random(f"{style.seed}/chords/ending").random()
    if "hold" not in marks and chance < style.slides and final.grip.is_closed:
        return [*strokes[:-1], falling(final, last)]
    ring = last.change.end_beats - final.onset_beats
    final = replace(final, duration_beats=ring, let_ring=True, vibrato=final.grip.is_closed)
    return [*strokes[:-1], final]
