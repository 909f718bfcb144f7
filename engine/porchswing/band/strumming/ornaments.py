"""The left hand's ornaments: slides, hammers and pulls, falls, as small changes of written strokes.

Sparing and drawn from the seed; a slide keeps the whole shape and is never plucked twice.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from porchswing.band.score import Stroke
from porchswing.band.strumming.stroke_assignment import PITCHLESS, Played
from porchswing.grips.shapes.model import Grip, lowest_fret, moved_along, slide_between
from porchswing.options import BandStyle
from porchswing.rhythm.tempo import TempoMap

GLIDE_S = 0.09
FALL_FRETS = 3
SLIDE_ROOM_BEATS = Fraction(1, 2)
HAMMER_BEATS = Fraction(1, 2)
HAMMER_REACH = 2
"""A finger hammers or pulls from the open string to this fret at most."""

HAMMER_SHARE = 0.4
"""Hammers and pulls come this much as often as slides asked for."""


def beats_of(seconds: float, tempo: TempoMap, at: Fraction) -> Fraction:
    """Return clock time at a beat as quarters, to the nearest 96th."""
    quarter_s = tempo.segment_at(at).us_per_quarter / 1e6
    return Fraction(round(seconds / quarter_s * 96), 96)


def ornamented(
    own: list[Stroke],
    before: Played,
    after: Played | None,
    tempo: TempoMap,
    style: BandStyle,
    may_slide: bool,
    *,
    may_hammer: bool = True,
) -> list[Stroke]:
    """Return a change's strokes, perhaps slid or hammered into, or pulled out of."""
    if not style.slides or not before.moves or own[0].kind != "strum":
        return own
    start = before.change.grip
    shift = -slide_between(start, own[0].grip) if may_slide and start else 0
    if not shift and own[0].grip.is_closed:
        return own  # nothing to slide, hammer or pull
    chance = Random(f"{style.seed}/chords/left/{own[0].onset_beats}")
    slide, hammer, pull = chance.random(), chance.random(), chance.random()
    room = own[0].onset_beats - before.moves[-1].onset_beats
    if shift and room >= SLIDE_ROOM_BEATS and slide < style.slides:
        return [glided(own[0], shift, tempo), *own[1:]]
    if not may_hammer:
        return own
    if hammer < style.slides * HAMMER_SHARE:
        own = _hammered(own)
    if pull < style.slides * HAMMER_SHARE and after is not None and after.change.grip is not None:
        own = _pulled(own, after.change.onset_beats, after.change.grip)
    return own


def glided(stroke: Stroke, frets: int, tempo: TempoMap) -> Stroke:
    """Return a stroke that glides in from ``frets`` away, where the neck allows it."""
    if moved_along(stroke.grip, frets) is None:
        return stroke
    glide = min(beats_of(GLIDE_S, tempo, stroke.onset_beats), stroke.duration_beats / 2)
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


def _pulled(own: list[Stroke], end: Fraction, upcoming: Grip) -> list[Stroke]:
    """Pull the lone low finger off to the open string that the next grip sounds."""
    last = own[-1]
    string, at = _hammer_string(last.grip), end - HAMMER_BEATS
    if string is None or last.kind != "strum" or at <= last.onset_beats:
        return own
    index = last.grip.tuning.index(string)
    if upcoming.frets[index] != 0 or last.onset_beats + last.duration_beats <= at:
        return own
    opened = tuple(0 if place == index else fret for place, fret in enumerate(last.grip.frets))
    pull = replace(
        last,
        onset_beats=at,
        duration_beats=HAMMER_BEATS,
        grip=replace(last.grip, frets=opened),
        kind="slur",
        strings=(string,),
    )
    return [*own[:-1], replace(last, duration_beats=at - last.onset_beats, let_ring=True), pull]


def _hammer_string(grip: Grip) -> int | None:
    """Return the string whose lone low finger can be hammered on, if there is just one."""
    if grip.is_closed:
        return None
    low = [i for i, fret in enumerate(grip.frets) if fret is not None and 0 < fret <= HAMMER_REACH]
    return grip.tuning.strings - low[0] if len(low) == 1 else None


def falling(stroke: Stroke, played: Played) -> Stroke:
    """Return a stroke that slides off down the neck at its end, where the neck allows it."""
    frets = min(FALL_FRETS, lowest_fret(stroke.grip) - 1)
    if frets < 1 or stroke.kind in PITCHLESS:
        return stroke
    length = max(
        stroke.duration_beats, min(Fraction(1), played.change.end_beats - stroke.onset_beats)
    )
    return replace(stroke, fall_frets=-frets, duration_beats=length)
