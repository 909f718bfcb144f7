"""Bodies of instruments: resonances, and the four ukulele sizes scaled from what is published.

We found no published table of measured resonances of all four sizes, so this is what ours rest on:

- sizes (``BODIES``): lengths and widths of Martin's four as listed in "The History of Martin
  Ukuleles, part II"; depths of the smaller three from a dealer's list of the same ("Martin
  Ukuleles", guitarhotline.com). The baritone's depth is in neither: as to its width as the tenor's;
- air: only a baritone's measured average was found, half a step above its D string (D. Hurd's
  figures as reported by South Coast Ukes, "Tuning below the resonance"). The others follow from it
  by Helmholtz's rule, frequency as the root of the hole's radius over the volume (a round hole in
  a thin plate: Fletcher & Rossing, *The Physics of Musical Instruments*, chapter 8). The holes'
  radii are in none of these: they grow as the root of the width, which agrees with D. Hurd's
  "Sizes" (ukuleles.com): the calculated air lies near the lowest string of soprano, of tenor with
  a low G and of baritone, and near none of a concert's;
- top: 1.8 times as high as the air (guitars: J. Meyer, Journal of Guitar Acoustics 5);
- the higher resonances are one set, tuned on the concert against bands of a sampled nylon guitar
  (``tests/bench/sound_report.py``), which dips at 2 kHz between two hills. They go with one over
  the length: plates alike, as much thinner as they are smaller (frequency as thickness over area:
  Fletcher & Rossing, chapter 3).
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple


class BodyMode(NamedTuple):
    """One resonance: frequency in Hz, quality factor, gain over the body's plain radiation."""

    hz: float
    q: float
    gain: float


class BodySize(NamedTuple):
    """A body's length, greatest width and depth in inches, as the lists give them."""

    length_in: float
    width_in: float
    depth_in: float

    @property
    def air_share(self) -> float:
        """The air's frequency by Helmholtz's rule, in a unit of its own."""
        radius, volume = sqrt(self.width_in), self.length_in * self.width_in * self.depth_in
        return sqrt(radius / volume)


BODIES = {
    "soprano": BodySize(9 + 7 / 16, 6 + 3 / 8, 2 + 5 / 16),
    "concert": BodySize(11.0, 7 + 5 / 8, 2 + 3 / 4),
    "tenor": BodySize(12 + 1 / 16, 8 + 15 / 16, 2 + 7 / 8),
    "baritone": BodySize(14.0, 10.0, (2 + 7 / 8) / (8 + 15 / 16) * 10.0),
}

BARITONE_AIR_HZ = 155.6
"""E flat 3, half a step above a baritone's lowest string."""

TOP_OVER_AIR = 1.8

AIR = BodyMode(1.0, 7.0, 2.4)
TOP = BodyMode(TOP_OVER_AIR, 10.0, 0.6)
"""A ukulele's first two resonances, their frequencies in its air's."""

CONCERT_PLATES = (
    BodyMode(640.0, 14.0, 0.75),
    BodyMode(960.0, 3.5, 3.4),
    BodyMode(3300.0, 5.0, 2.2),
    BodyMode(4600.0, 4.0, 2.6),
)


def ukulele_body(size: str) -> tuple[BodyMode, ...]:
    """Return the resonances of a ukulele of a size, rising: air, top, and those above.

    >>> [round(mode.hz) for mode in ukulele_body("concert")]
    [203, 366, 640, 960, 3300, 4600]
    """
    one = BODIES[size]
    air_hz = BARITONE_AIR_HZ * one.air_share / BODIES["baritone"].air_share
    plates = BODIES["concert"].length_in / one.length_in
    scaled = [mode._replace(hz=mode.hz * air_hz) for mode in (AIR, TOP)]
    scaled += [mode._replace(hz=mode.hz * plates) for mode in CONCERT_PLATES]
    return tuple(mode._replace(hz=round(mode.hz, 1)) for mode in scaled)
