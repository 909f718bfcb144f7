"""Human timing and loudness: long-range correlated deviations and the band's offsets.

Players' deviations from the beat are long-range correlated, close to 1/f noise (Hennig et
al. 2011, PLoS ONE 6:e26457; Räsänen et al. 2015, PLoS ONE 10(6)), loudness too. We sum
independent uniform values held for 1, 2, 4, … sixteenths (Voss's method), each octave of
time scale a little smaller than the faster one before it: the slowest turn two or three times
in a tune, and at full size they would make tunes alike by chance.

The band has one time, and everybody strays with it: it is the drummer's. Beside it each other
player is late by a mean and a little fast noise, and each limb of the drummer by its own; both are
bounded smoothly (:func:`together`), so that no two parts lie farther than 15 ms apart. The setting
moves the band's time ever farther; what lies between its players is full from
:data:`FULL_OFFSETS_AT` on.

The size at full setting follows ride hits of the Groove MIDI Dataset (CC BY 4.0; swing takes
to a click): inter-onset deviation of 3.6 to 4.7 % of the beat. Exaggerated deviations hurt
(Datseris et al. 2019, Scientific Reports), so defaults stay small and slow tempi are capped.

The values come from ``random.Random.random`` seeded by text: the one sequence Python
documents as stable.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from random import Random
from typing import NamedTuple

OCTAVES = 10
"""Octaves of time scale summed: a sixteenth to 512 sixteenths (32 bars of 4/4)."""

OWN_OCTAVES = 3
"""Octaves, from the fastest, that each player has alone in loudness and beside the band's time."""

SLOWER = {"timing": 0.91, "loudness": 0.85}
"""The size of each octave over the next faster one.

Noise of 1/f to the power 0.73 and 0.53: a DFA exponent of about 0.86 and 0.81 over long stretches.
Ride hits of the Groove MIDI Dataset have 0.62 to 1.03 and a lag-1 autocorrelation of 0.39 to 0.78.
"""

TIMING_SD_BEATS = 0.036
"""Standard deviation of onsets at full setting, in quarter notes (see module docstring)."""

TIMING_SD_CAP_S = 0.019
"""No larger than this in seconds at any tempo (our choice: slow tunes must not sound sloppy)."""

TIMING_GROWTH = 1.5
"""Timing grows with this power of the setting: small settings stay very small (our choice)."""

OWN_TIMING = 0.17
"""Share of the full deviation that moves a player alone, in its fast octaves (our choice).

A standard deviation of 2.3 ms up to 110 quarters a minute, less above.
"""

FARTHEST_S = 0.0067
"""No sound lies so far from the band's time: two lie less than 13.4 ms apart.

One tick more where ticks are longest, 1.6 ms at 40 quarters a minute: under 15 ms, and under the
19 ms of Hofmann et al. 2017.
"""

LOUDNESS_SD = 0.066
"""Standard deviation of loudness at full setting, as a fraction of the velocity (our choice)."""

FULL_OFFSETS_AT = 0.3
"""From this setting on, the offsets between the players have their published size."""

CELLS_PER_BEAT = 4
"""Deviations are drawn on a grid of sixteenths."""

COUNT_IN_CELLS = 1024
"""Cells set aside before beat 0, so that a count-in never shifts what the music draws."""

DRAWN_AHEAD = 64
"""How many cells past the one asked for are drawn along with it."""

PICKUP_CELLS = 32
"""Cells set aside before beat 0 for what single strokes draw in a pickup."""


class Offset(NamedTuple):
    """How late a part plays on average: a fraction of the beat, and its cap in seconds."""

    beats: float
    cap_s: float


OFFSETS = {
    # bass after drums: JTD density median +1.5 % of a beat (CI 1.0-2.0), +3.4 ms in its
    # manual annotations (Cheston et al., TISMIR 2024), nothing under 100 bpm
    "bass": Offset(0.011, 0.0045),
    "chords": Offset(0.006, 0.003),  # between the two: our choice
    "line": Offset(0.006, 0.003),
    "melody": Offset(0.006, 0.003),
    "solo": Offset(0.006, 0.003),
}
"""Average offset of each part against the drums; parts not named play with the drums."""

ON_THE_DRUMS = Offset(0.0, 0.0)

DRUMMER, STEADY = "drums", "count"
"""The part whose time is the band's, and the one that never strays."""

LIMBS = {
    # hat pedal ahead of the ride: Hofmann et al. 2017 (2-26 ms); kick and stick a little behind
    # it: our choice within the spread of 2 to 10 ms
    "hat_pedal": -0.0045, "hat_closed": -0.0015, "hat_open": -0.0015, "kick": 0.004,
    "side_stick": 0.003, "sticks": 0.003, "snare": 0.0025, "brush_tap": 0.0015,
    "brush_slap": 0.002, "brush_sweep": -0.0025,
}  # fmt: skip
"""How late each limb of the drummer plays on average, in seconds; the ride is where the beat is."""

GAPS = 5
"""Gaps drawn for a stroke: those of six strings."""

LIMB_DRAWS = 3
"""Draws added up for a limb: three of variance 1/3."""

LIMB_SD_S = 0.0015
"""How far a limb strays from the drummer's own time at full lean, in seconds (our choice)."""


def together(late_s: float) -> float:
    """Return how late a sound is beside the band's time: nearly as asked, and never too far.

    >>> [round(together(s), 4) for s in (0.002, 0.0045, 0.009, 1.0)]
    [0.002, 0.0043, 0.0063, 0.0067]
    """
    return late_s / math.sqrt(math.sqrt(1.0 + (late_s / FARTHEST_S) ** 4))


def octave_widths(slower: float) -> tuple[float, ...]:
    """Return how wide each octave is spread, each ``slower`` times the faster one before it.

    The sum of all octaves, each uniform over its width, has variance 1.
    """
    sizes = [slower**octave for octave in range(OCTAVES)]
    unit = math.sqrt(12 / sum([size * size for size in sizes]))
    return tuple([unit * size for size in sizes])


class Octaves:
    """Some octaves of noise: at a place the sum of their values, each uniform over its width."""

    def __init__(self, scope: str, octaves: range, widths: Sequence[float]) -> None:
        """Seed one generator an octave, by its scope; ``widths`` holds those of all octaves."""
        self._values: list[tuple[int, list[float]]] = [(octave, []) for octave in octaves]
        self._draw = [(Random(f"{scope}/{octave}").random, widths[octave]) for octave in octaves]
        self._drawn = 0

    def at(self, place: int) -> float:
        """Return the sum at a place from 0, in sixteenths."""
        if place >= self._drawn:
            self._draw_to(place + DRAWN_AHEAD)
        total = 0.0
        for octave, values in self._values:
            total += values[place >> octave]
        return total

    def _draw_to(self, end: int) -> None:
        for (octave, values), (draw, width) in zip(self._values, self._draw, strict=True):
            missing = (end >> octave) + 1 - len(values)
            values.extend([width * (draw() - 0.5) for _ in range(missing)])
        self._drawn = end


class Strays:
    """White noise by position: ``count`` values at every place, each uniform in ±1.

    Drawn once along the tune: a generator seeded anew for every stroke takes ten times as long.
    """

    def __init__(self, scope: str, count: int) -> None:
        """Seed the generator by its scope."""
        self._draw = Random(scope).random
        self._count = count
        self._values = array("d")  # an hour of a list's floats would be 22 MB

    def at(self, beats: Fraction) -> array[float]:
        """Return the values at a written beat; strokes of one sixteenth share them."""
        cell = CELLS_PER_BEAT * beats.numerator // beats.denominator
        first = self._count * max(0, cell + PICKUP_CELLS)
        missing = first + self._count - len(self._values)
        if missing > 0:
            draw = self._draw
            ahead = missing + self._count * DRAWN_AHEAD
            self._values.extend([2.0 * draw() - 1.0 for _ in range(ahead)])
        return self._values[first : first + self._count]


class Human(NamedTuple):
    """How one part strays.

    ``lean`` is 0 to 1 of its ``offset`` from the drums and of what is its ``own``;
    ``timing_size`` and ``loudness_size`` are the shares of the full deviations; ``band`` is the
    time of all; ``scope`` seeds what is drawn for single strokes, kept in ``strays``.
    """

    offset: Offset
    lean: float
    timing_size: float
    loudness_size: float
    band: Octaves
    own: Octaves | None
    loudness: tuple[Octaves, Octaves]
    scope: str
    strays: dict[str, Strays]

    def deviation(self, beats: Fraction, quarter_s: float) -> tuple[float, float]:
        """Return how late a player is at a written beat and how loud.

        Seconds, the offset of the part included, and a factor on the written loudness.
        """
        if not self.loudness_size:
            return 0.0, 1.0
        place = max(0, COUNT_IN_CELLS + CELLS_PER_BEAT * beats.numerator // beats.denominator)
        spread_s = min(TIMING_SD_BEATS * quarter_s, TIMING_SD_CAP_S)
        late_s = spread_s * self.timing_size * self.band.at(place)
        if self.own:
            mean_s = min(self.offset.beats * quarter_s, self.offset.cap_s)
            own_s = spread_s * OWN_TIMING * self.own.at(place)
            late_s += self.lean * together(mean_s + own_s)
        loud = sum([octaves.at(place) for octaves in self.loudness])
        return late_s, 1.0 + LOUDNESS_SD * self.loudness_size * loud

    def limb_s(self, piece: str, beats: Fraction) -> float:
        """Return how late one limb plays a piece of the kit against the drummer's own time."""
        if not self.lean:
            return 0.0
        stray = LIMB_SD_S * sum(self._stray(piece, LIMB_DRAWS).at(beats))  # variance 1
        return self.lean * together(LIMBS.get(piece, 0.0) + stray)

    def gaps(self, beats: Fraction) -> tuple[float, ...]:
        """Return how uneven the gaps between the strings of a stroke are, each from -1 to 1."""
        if not self.lean:
            return ()
        return tuple([self.lean * value for value in self._stray("gaps", GAPS).at(beats)])

    def _stray(self, what: str, count: int) -> Strays:
        """Return the noise of one limb or hand, seeded when it is first asked for."""
        found = self.strays.get(what)
        if found is None:
            found = self.strays[what] = Strays(f"{self.scope}/{what}", count)
        return found


def humans(parts: Iterable[str], amount: float, seed: int) -> Iterator[Human]:
    """Yield how each part of a band strays at a setting from 0 (exactly on the grid) to 1."""
    every, fast, slow = range(OCTAVES), range(OWN_OCTAVES), range(OWN_OCTAVES, OCTAVES)
    timing, loudness = (octave_widths(SLOWER[what]) for what in ("timing", "loudness"))
    band = Octaves(f"{seed}/band/timing", every, timing)
    swell = Octaves(f"{seed}/band/loudness", slow, loudness)
    for part in parts:
        strays = 0.0 if part == STEADY else amount
        yield Human(
            offset=OFFSETS.get(part, ON_THE_DRUMS),
            lean=min(1.0, strays / FULL_OFFSETS_AT),
            timing_size=strays**TIMING_GROWTH,
            loudness_size=strays,
            band=band,
            own=None if part == DRUMMER else Octaves(f"{seed}/{part}/timing", fast, timing),
            loudness=(Octaves(f"{seed}/{part}/loudness", fast, loudness), swell),
            scope=f"{seed}/{part}",
            strays={},
        )
