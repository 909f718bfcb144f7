"""One off-beat for the whole band: a ``let`` without its ``trip`` is the swung off-beat.

A slow tune is often counted ``1 let 2 let``. Nobody in the band plays a triplet there: that
``let`` is the long beat's other eighth, and lies where the tune's swing puts it. A beat in which
the part plays the ``trip`` too is a triplet and stays as written.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from porchswing.band.score import PartScore

LET, OFF_BEAT = Fraction(2, 3), Fraction(1, 2)


def with_swung_lets(part: PartScore, unit_beats: Fraction) -> PartScore:
    """Return a part whose beats of ``1`` and ``let`` alone are written as ``1`` and ``&``.

    ``unit_beats`` is the beat that swings, in quarters.
    """
    inside: dict[int, set[Fraction]] = {}
    for event in part.events:
        beat, place = divmod(event.onset_beats / unit_beats, 1)
        inside.setdefault(int(beat), set()).add(place)
    lets = {beat for beat, found in inside.items() if LET in found and found <= {0, LET}}
    if not lets:
        return part

    def moved(beats: Fraction) -> Fraction:
        beat, place = divmod(beats / unit_beats, 1)
        return (beat + OFF_BEAT) * unit_beats if place == LET and int(beat) in lets else beats

    events = []
    for event in part.events:
        onset = moved(event.onset_beats)
        end = moved(event.onset_beats + event.duration_beats)
        events.append(replace(event, onset_beats=onset, duration_beats=end - onset))
    return replace(part, events=tuple(events))
