"""One off-beat for the whole band: a ``let`` without its ``trip`` is the swung off-beat.

A slow tune is often counted ``1 let 2 let``. Nobody in the band plays a triplet there: that
``let`` is the long beat's other eighth, and lies where the tune's swing puts it. A beat in which
the part plays the ``trip`` too is a triplet and stays as written.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import gcd

from porchswing.band.score import PartScore

BEAT, LET = (0, 1), (2, 3)
"""Places inside a beat, as numerator and denominator."""

OFF_BEAT = Fraction(1, 2)


def with_swung_lets(part: PartScore, unit_beats: Fraction) -> PartScore:
    """Return a part whose beats of ``1`` and ``let`` alone are written as ``1`` and ``&``.

    ``unit_beats`` is the beat that swings, in quarters.
    """
    inside: dict[int, set[tuple[int, int]]] = {}
    spots = [_in_beat(event.onset_beats, unit_beats) for event in part.events]
    for beat, place in spots:
        inside.setdefault(beat, set()).add(place)
    lets = {beat for beat, found in inside.items() if LET in found and found <= {BEAT, LET}}
    if not lets:
        return part
    events = []
    for event, spot in zip(part.events, spots, strict=True):
        end_beats = event.onset_beats + event.duration_beats
        is_let = spot[1] == LET and spot[0] in lets
        beat, place = _in_beat(end_beats, unit_beats)
        ends_on_let = place == LET and beat in lets
        if not is_let and not ends_on_let:
            events.append(event)
            continue
        onset = (spot[0] + OFF_BEAT) * unit_beats if is_let else event.onset_beats
        end = (beat + OFF_BEAT) * unit_beats if ends_on_let else end_beats
        events.append(replace(event, onset_beats=onset, duration_beats=end - onset))
    return replace(part, events=tuple(events))


def _in_beat(beats: Fraction, unit_beats: Fraction) -> tuple[int, tuple[int, int]]:
    """Return the whole beats before a place, and where it lies in its own, in lowest terms.

    In whole numbers: a tune has some thousand places, and fractions take ten times as long.
    """
    steps = beats.numerator * unit_beats.denominator
    unit = beats.denominator * unit_beats.numerator
    beat, inside = divmod(steps, unit)
    shared = gcd(inside, unit)
    return beat, (inside // shared, unit // shared)
