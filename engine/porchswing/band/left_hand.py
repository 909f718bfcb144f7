"""The left hand: how long each stroke sounds, and the slides, hammers, falls and shakes.

A closed grip is let go to stop it (the short chunk of swing); an open one rings until the next
stroke. Before a new grip the last stroke is shortened by the time the hand needs for the move,
so nothing rings across a change. Ornaments are sparing and drawn from the seed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from random import Random

from porchswing.band.played import Played
from porchswing.band.right_hand import BarPlan, Move
from porchswing.band.score import Stroke
from porchswing.band.style import BandStyle
from porchswing.errors import GripError
from porchswing.grips.model import Grip
from porchswing.grips.moves import change_time_s
from porchswing.rhythm.tempo import TempoMap

SHORT_BEATS = Fraction(1, 4)
SHORT_OFFBEATS = Fraction(3, 8)
"""How long a short stroke sounds at most, on the beat and off it (where swing will squeeze it)."""

SCRATCH_BEATS = Fraction(1, 4)
LEAST_SHARE = Fraction(3, 5)
"""A stroke before a hard change keeps at least this share of its time."""

LONGEST_MOVE_S = 0.2
"""No more than this is taken from a stroke for the hand's way to the next grip (our choice)."""

GLIDE_S = 0.09
FALL_FRETS = 3
MOST_SLIDE_FRETS = 2
SLIDE_ROOM_BEATS = Fraction(1, 2)
HAMMER_BEATS = Fraction(1, 2)
HAMMER_REACH = 2
"""A finger hammers or pulls from the open string to this fret at most."""

HAMMER_SHARE = 0.4
"""Hammers and pulls come this much as often as slides asked for."""


def strokes_of(
    played: Sequence[Played], plans: Sequence[BarPlan], tempo: TempoMap, style: BandStyle
) -> list[Stroke]:
    """Return the written strokes of all changes, in order, with the left hand's work."""
    strokes: list[Stroke] = []
    last_slide = -2
    for index, each in enumerate(played):
        after = played[index + 1] if index + 1 < len(played) else None
        own = _sounding(each, after, plans, tempo)
        before = played[index - 1] if index else None
        if own and "slide" in each.change.marks:
            own[0] = _glided(own[0], -1, tempo)
        elif own and before and last_slide < index - 1 and not _slides_next(after):
            own = _ornamented(own, before, each, tempo, style)
        if own and own[0].slide_frets:
            last_slide = index
        if own and "fall" in each.change.marks:
            own[-1] = _falling(own[-1], each)
        strokes.extend(own)
    return strokes if style.loop else _ended(strokes, played, plans, style)


def _slides_next(after: Played | None) -> bool:
    return after is not None and "slide" in after.change.marks


def _sounding(
    played: Played, after: Played | None, plans: Sequence[BarPlan], tempo: TempoMap
) -> list[Stroke]:
    change = played.change
    if change.grip is None:
        return []
    strokes = []
    for number, move in enumerate(played.moves):
        is_last = number == len(played.moves) - 1
        stop = change.end_beats if is_last else played.moves[number + 1].onset_beats
        stop = min([stop, *(rest for rest in played.rests if rest > move.onset_beats)])
        gap = stop - move.onset_beats
        length = _length(move, change.grip, gap, plans[move.bar].pattern.damp, change.marks)
        if is_last and after and after.change.grip and after.change.grip != change.grip:
            room = change.end_beats - move.onset_beats
            hand = _beats(_hand_s(change.grip, after.change.grip), tempo, move.onset_beats)
            length = min(length, max(room - hand, room * LEAST_SHARE))
        strokes.append(
            Stroke(
                onset_beats=move.onset_beats,
                duration_beats=length,
                grip=change.grip,
                direction=move.cell.direction,
                kind=move.cell.kind,
                velocity=move.cell.loudness,
                strings=_found_strings(move.cell.strings, change.grip),
            )
        )
    return strokes


def _found_strings(strings: tuple[int, ...], grip: Grip) -> tuple[int, ...]:
    """Return the strings a pattern names, each moved to the nearest one this grip sounds."""
    tuning = grip.tuning
    sounding = [s for s in range(1, tuning.strings + 1) if grip.frets[tuning.index(s)] is not None]
    near = {min(sounding, key=lambda have: (abs(have - s), have)) for s in strings if sounding}
    return tuple(sorted(near, reverse=True))


def _length(move: Move, grip: Grip, gap: Fraction, damp: float, marks: tuple[str, ...]) -> Fraction:
    """Return how long a stroke sounds inside the gap it has."""
    if move.cell.kind in {"chuck", "ghost"}:
        return min(gap, SCRATCH_BEATS)
    if move.cell.is_short:
        return min(gap, SHORT_BEATS if move.onset_beats.denominator == 1 else SHORT_OFFBEATS)
    if "hold" in marks or move.cell.kind == "tremolo" or not grip.is_closed:
        return gap
    return gap * (20 - round(20 * damp * 0.95)) / 20


@lru_cache(maxsize=4096)
def _hand_s(before: Grip, after: Grip) -> float:
    """Return the seconds the hand takes between two grips, no more than it can be given."""
    try:
        return min(LONGEST_MOVE_S, change_time_s(before, after))
    except GripError:  # a locked grip beyond four fingers: the hardest there is
        return LONGEST_MOVE_S


def _beats(seconds: float, tempo: TempoMap, at: Fraction) -> Fraction:
    quarter_s = tempo.segment_at(at).us_per_quarter / 1e6
    return Fraction(round(seconds / quarter_s * 96), 96)


# --- ornaments -----------------------------------------------------------------------------


def _ornamented(
    own: list[Stroke], before: Played, played: Played, tempo: TempoMap, style: BandStyle
) -> list[Stroke]:
    """Return a change's strokes, perhaps slid or hammered into."""
    if not style.slides or not before.moves or played.change.marks or own[0].kind != "strum":
        return own
    chance = Random(f"{style.seed}/chords/left/{played.change.onset_beats}")
    slide, hammer = chance.random(), chance.random()
    shift = _slid_frets(before.change.grip, own[0].grip)
    room = own[0].onset_beats - before.moves[-1].onset_beats
    if shift and room >= SLIDE_ROOM_BEATS and slide < style.slides:
        return [_glided(own[0], shift, tempo), *own[1:]]
    if hammer < style.slides * HAMMER_SHARE:
        return _hammered(own)
    return own


def _slid_frets(before: Grip | None, after: Grip) -> int:
    """Return from how many frets away one closed shape can slide into another; 0 for none."""
    if before is None or not (before.is_closed and after.is_closed):
        return 0
    pairs = tuple(zip(before.frets, after.frets, strict=True))
    shifts = {a - b for a, b in pairs if a is not None and b is not None}
    if len(shifts) != 1 or any((a is None) != (b is None) for a, b in pairs):
        return 0
    shift = shifts.pop()
    return shift if abs(shift) <= MOST_SLIDE_FRETS else 0


def _glided(stroke: Stroke, frets: int, tempo: TempoMap) -> Stroke:
    """Return a stroke that glides in from ``frets`` away, where the neck allows it."""
    held = [fret for fret in stroke.grip.frets if fret is not None]
    if not stroke.grip.is_closed or not held or min(held) + frets < 1:
        return stroke
    glide = min(_beats(GLIDE_S, tempo, stroke.onset_beats), stroke.duration_beats / 2)
    return replace(stroke, slide_frets=frets, glide_beats=glide)


def _hammered(own: list[Stroke]) -> list[Stroke]:
    """Lift one finger of an open grip for the stroke and hammer it on half a beat later."""
    first = own[0]
    string = _hammer_string(first.grip)
    at = first.onset_beats + HAMMER_BEATS
    ends = first.onset_beats + first.duration_beats
    free = len(own) == 1 or own[1].onset_beats > at
    if string is None or first.onset_beats.denominator != 1 or not free or ends <= at:
        return own
    index = first.grip.tuning.index(string)
    lifted = tuple(0 if place == index else fret for place, fret in enumerate(first.grip.frets))
    plucked = replace(
        first, grip=replace(first.grip, frets=lifted), duration_beats=HAMMER_BEATS, let_ring=True
    )
    hammer = replace(
        first, onset_beats=at, duration_beats=ends - at, kind="slur", strings=(string,)
    )
    return [plucked, hammer, *own[1:]]


def _hammer_string(grip: Grip) -> int | None:
    """Return the string whose lone low finger can be hammered on, if there is just one."""
    if grip.is_closed:
        return None
    low = [i for i, fret in enumerate(grip.frets) if fret is not None and 0 < fret <= HAMMER_REACH]
    return grip.tuning.strings - low[0] if len(low) == 1 else None


def _falling(stroke: Stroke, played: Played) -> Stroke:
    """Return a stroke that slides off down the neck at its end, where the neck allows it."""
    held = [fret for fret in stroke.grip.frets if fret is not None]
    frets = min(FALL_FRETS, min(held, default=1) - 1)
    if not stroke.grip.is_closed or frets < 1 or stroke.kind in {"chuck", "ghost"}:
        return stroke
    length = max(
        stroke.duration_beats, min(Fraction(1), played.change.end_beats - stroke.onset_beats)
    )
    return replace(stroke, fall_frets=-frets, duration_beats=length)


def _ended(
    strokes: list[Stroke], played: Sequence[Played], plans: Sequence[BarPlan], style: BandStyle
) -> list[Stroke]:
    """Let the last chord ring, shaken where a closed grip allows, or fall off the neck."""
    last = played[-1] if played else None
    if not strokes or last is None or last.change.grip is None:
        return strokes
    marks, final = set(last.change.marks), strokes[-1]
    if marks & {"stop", "chuck", "fall"} or final.kind in {"chuck", "ghost"}:
        return strokes
    chance = Random(f"{style.seed}/chords/ending").random()
    if "hold" not in marks and chance < style.slides and final.grip.is_closed:
        return [*strokes[:-1], _falling(final, last)]
    ring = last.change.end_beats - final.onset_beats
    final = replace(final, duration_beats=ring, let_ring=True, vibrato=final.grip.is_closed)
    return [*strokes[:-1], final]
