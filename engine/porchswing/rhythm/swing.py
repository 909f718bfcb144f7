"""Swing: how far the off-beat eighth leans, by tempo and by part, and the warp that puts it there.

A *swing ratio* is the long eighth of a beat over the short one: 1 straight, 2 triplet, 3 dotted.
The off-beat of a beat then falls at ``r / (r + 1)``; the beat itself never moves.

Which ratio at which tempo (``auto``)
-------------------------------------
Medians by tempo bin of the log2 beat–upbeat ratio's density peak, track by track, computed from
the Jazz Trio Database (Cheston, Schlichting, Cross & Harrison, TISMIR 2024,
doi 10.5334/tismir.186, MIT): drums, bass and piano solo. Friberg & Sundström (Music Perception
19(3), 2002) report the same fall with tempo, a short note near 100 ms from medium to fast, and
soloists swinging less than the ride. The bins under 140 bpm were pooled (weighted by their
number of tracks) so that the curve never rises with tempo. Below 100 bpm it is our own choice:
the ratio eases back to the triplet, as slow ballads are counted in three; so is the end above
300 bpm, which goes straight at 400.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from fractions import Fraction

STRAIGHT = 1.0

_BPM = (60.0, 100.0, 120.0, 150.0, 170.0, 190.0, 210.0, 230.0, 250.0, 270.0, 290.0, 310.0, 400.0)
_RIDE = (2.00, 2.68, 2.68, 2.56, 2.35, 2.20, 1.99, 1.72, 1.54, 1.40, 1.31, 1.22, 1.00)
_BASS = (2.00, 2.49, 2.49, 2.47, 2.25, 2.12, 1.93, 1.72, 1.54, 1.40, 1.28, 1.20, 1.00)
_SOLO = (1.70, 1.97, 1.97, 1.70, 1.46, 1.40, 1.32, 1.30, 1.26, 1.22, 1.08, 1.05, 1.00)

_CURVES = {
    "ride": _RIDE,
    "bass": _BASS,
    "solo": _SOLO,
    # no measurement of a comping hand was found: halfway, in log ratio, from ride to soloist
    "comp": tuple(math.sqrt(ride * solo) for ride, solo in zip(_RIDE, _SOLO, strict=True)),
}

PLAYER = {
    "chords": "comp",
    "bass": "bass",
    "drums": "ride",
    "count": "ride",
    "line": "solo",
    "melody": "solo",
}
"""Which measured player each part of the band swings like when parts may differ."""


def auto_ratio(quarter_bpm: float, part: str = "ride") -> float:
    """Return the swing ratio players choose at a tempo, 1.0 to 2.7.

    ``quarter_bpm`` is quarters per minute; ``part`` is ``ride``, ``bass``, ``comp`` or
    ``solo``. Linear between the table's points, constant outside them.

    >>> auto_ratio(190)
    2.2
    """
    curve = _CURVES[part]
    right = bisect_right(_BPM, quarter_bpm)
    if right == 0 or right == len(_BPM):
        return curve[0] if right == 0 else curve[-1]
    low, high = _BPM[right - 1], _BPM[right]
    share = (quarter_bpm - low) / (high - low)
    return curve[right - 1] + share * (curve[right] - curve[right - 1])


def part_ratio(ratio: float, quarter_bpm: float, part: str, feel: float) -> float:
    """Return one part's own ratio when the tune swings at ``ratio``.

    ``part`` is a part of the band (``chords``, ``bass``, …); ``feel`` runs from 0 (all
    together) to 1 (each part as far from the ride as it was measured). The distance is kept in
    log ratio, so straight stays straight for everyone.

    >>> part_ratio(2.0, 200, "chords", 0.0)
    2.0
    >>> round(part_ratio(2.0, 200, "chords", 1.0), 2)
    1.63
    """
    ride = auto_ratio(quarter_bpm)
    if feel == 0 or ratio <= STRAIGHT or ride <= STRAIGHT:
        return ratio
    own = math.log(auto_ratio(quarter_bpm, PLAYER[part])) / math.log(ride)
    return float(ratio ** (1.0 + feel * (own - 1.0)))


def swing_fraction(fraction: float, ratio: float) -> float:
    """Return where a place inside the beat is played: 0 and 1 stay, 1/2 goes to r/(r+1).

    Linear on either side of the off-beat, so the order of events never changes.

    >>> round(swing_fraction(0.5, 2.0) * 960)
    640
    """
    offbeat = ratio / (ratio + 1.0)
    if fraction <= 0.5:
        return 2.0 * fraction * offbeat
    return offbeat + (2.0 * fraction - 1.0) * (1.0 - offbeat)


def even_beats(onsets: Iterable[Fraction], unit_beats: Fraction = Fraction(1)) -> frozenset[int]:
    """Return the numbers of the beats a part plays as written, because it divides them otherwise.

    A beat swings when every onset of the part in it lies on a beat or its half; a beat written
    in triplets or sixteenths is kept in place, whole, so nothing in it changes order.
    ``unit_beats`` is the length of the beat that swings, in quarters.

    >>> sorted(even_beats([Fraction(0), Fraction(1, 2), Fraction(4, 3)]))
    [1]
    """
    even = set()
    for onset in onsets:
        place = onset if unit_beats == 1 else onset / unit_beats
        if place.denominator > 2:
            even.add(place.numerator // place.denominator)
    return frozenset(even)
