"""The mixing desk as data: level, place and room of every part.

Levels were set so that each part by itself reads about the loudness that sits well in the
whole: chords -19, bass -24, drums -27 LUFS for a mix of -18. A seat is where one sound goes:
drums have several, a part of strings has one.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from porchswing.audio.synth.kit import STRUCK


class Seat(NamedTuple):
    """Level in dB, place from -1 (left) to 1 (right), and room send in dB under the level."""

    level_db: float
    pan: float
    send_db: float


PARTS = {
    "chords": Seat(-19.0, -0.16, -13.0),
    "line": Seat(-19.0, 0.2, -12.0),
    "melody": Seat(-18.0, 0.1, -12.0),
    "solo": Seat(-17.0, 0.0, -12.0),
    "bass": Seat(-15.0, 0.0, -23.0),
    "drums": Seat(-20.0, 0.0, -12.0),
    "count": Seat(-23.0, 0.0, -14.0),
}
"""The seat of every part; a part of another name sits where the melody does."""


def seat(part: str, piece: str = "") -> Seat:
    """Return where a sound of a part sits (``piece`` for the kit's sounds).

    >>> seat("bass")
    Seat(level_db=-15.0, pan=0.0, send_db=-23.0)
    """
    base = PARTS.get(part, PARTS["melody"])
    return base._replace(pan=base.pan + STRUCK[piece].pan) if piece in STRUCK else base


def pan_gains(pan: float) -> tuple[float, float]:
    """Return left and right gains of equal power for a place from -1 to 1.

    >>> pan_gains(-1.0)
    (1.0, 0.0)
    """
    angle = (min(1.0, max(-1.0, pan)) + 1.0) * math.pi / 4.0
    return round(math.cos(angle), 12), round(math.sin(angle), 12)
