"""Human timing and loudness: long-range correlated deviations and the band's offsets.

Players' deviations from the beat are long-range correlated, close to 1/f noise (Hennig et
al. 2011, PLoS ONE 6:e26457; Räsänen et al. 2015, PLoS ONE 10(6)), loudness too. We sum
independent uniform values held for 1, 2, 4, … sixteenths (Voss's method): every octave of
time scale carries the same power. Fast octaves are a player's own; slow ones belong to the
whole band, which listens to itself, so that parts drift together and not apart.

The size at full setting follows ride hits of the Groove MIDI Dataset (CC BY 4.0; swing takes
to a click): inter-onset deviation of 3.6 to 4.7 % of the beat. Exaggerated deviations hurt
(Datseris et al. 2019, Scientific Reports), so defaults stay small and slow tempi are capped.

The values come from ``random.Random.random`` seeded by text: the one sequence Python
documents as stable.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from math import sqrt
from random import Random
from typing import NamedTuple

OCTAVES = 10
"""Octaves of time scale summed: a sixteenth to 512 sixteenths (32 bars of 4/4)."""

OWN_OCTAVES = 4
"""Octaves, from the fastest, that each player has alone; slower ones move the band as one."""

TIMING_SD_BEATS = 0.042
"""Standard deviation of onsets at full setting, in quarter notes (see module docstring)."""

TIMING_SD_CAP_S = 0.022
"""No larger than this in seconds at any tempo (our choice: slow tunes must not sound sloppy)."""

TIMING_GROWTH = 1.5
"""Timing grows with this power of the setting: small settings stay very small (our choice)."""

LOUDNESS_SD = 0.09
"""Standard deviation of loudness at full setting, as a fraction of the velocity (our choice)."""

FULL_OFFSETS_AT = 0.3
"""From this setting on, the offsets between the players have their published size."""

UNIT_VARIANCE = sqrt(12 / OCTAVES)
"""Scales the sum of all octaves, each uniform over 1, to variance 1."""

CELLS_PER_BEAT = 4
"""Deviations are drawn on a grid of sixteenths."""

COUNT_IN_CELLS = 1024
"""Cells set aside before beat 0, so that a count-in never shifts what the music draws."""


class Offset(NamedTuple):
    """How late a part plays on average: a fraction of the beat, and its cap in seconds."""

    beats: float
    cap_s: float


OFFSETS = {
    # bass after drums: JTD density median +1.5 % of a beat (CI 1.0-2.0), +3.4 ms in its
    # manual annotations (Cheston et al., TISMIR 2024); under 19 ms: Hofmann et al. 2017
    "bass": Offset(0.011, 0.012),
    "chords": Offset(0.006, 0.008),  # between the two: our choice
    "line": Offset(0.006, 0.008),
    "melody": Offset(0.006, 0.008),
}
"""Average offset of each part against the drums; parts not named play with the drums."""

SIZES = {"drums": 1.0, "bass": 0.9, "chords": 1.0, "line": 1.0, "melody": 1.0, "count": 0.0}
"""How far each part strays, relative to the full size; the count never strays."""


@dataclass(slots=True)
class PinkNoise:
    """1/f noise by position: unit variance, the same value for the same seed and place."""

    scope: str
    shared_scope: str
    _octaves: list[tuple[Random, list[float]]] = field(init=False)
    _own: dict[int, float] = field(default_factory=dict, init=False)
    _shared: dict[int, float] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        """Seed one generator an octave, by its scope."""
        scopes = [self.scope] * OWN_OCTAVES + [self.shared_scope] * (OCTAVES - OWN_OCTAVES)
        self._octaves = [(Random(f"{s}/{k}"), []) for k, s in enumerate(scopes)]

    def at(self, cell: int) -> float:
        """Return the value at a cell (a sixteenth), in standard deviations."""
        place = max(0, cell + COUNT_IN_CELLS)
        if place not in self._own:
            self._own[place] = self._sum(place, 0, OWN_OCTAVES)
        block = place >> OWN_OCTAVES
        if block not in self._shared:
            self._shared[block] = self._sum(place, OWN_OCTAVES, OCTAVES)
        return (self._own[place] + self._shared[block]) * UNIT_VARIANCE

    def _sum(self, place: int, first: int, end: int) -> float:
        """Return the sum of some octaves' values at a place, each uniform in ±1/2."""
        total = 0.0
        for octave in range(first, end):
            generator, values = self._octaves[octave]
            block = place >> octave
            while len(values) <= block:
                values.append(generator.random() - 0.5)
            total += values[block]
        return total


class Human(NamedTuple):
    """How one part strays: ``amount`` 0 to 1, seeded by the take's seed and the part's name."""

    part: str
    amount: float
    timing: PinkNoise
    loudness: PinkNoise

    def timing_s(self, beats: Fraction, quarter_s: float) -> float:
        """Return the deviation in seconds at a written beat, offset of the part included."""
        if self.amount <= 0:
            return 0.0
        offset = OFFSETS.get(self.part, Offset(0.0, 0.0))
        mean = min(offset.beats * quarter_s, offset.cap_s) * min(1.0, self.amount / FULL_OFFSETS_AT)
        spread = min(TIMING_SD_BEATS * quarter_s, TIMING_SD_CAP_S)
        size = self.amount**TIMING_GROWTH * SIZES.get(self.part, 1.0)
        return mean + spread * size * self.timing.at(_cell(beats)) if size else 0.0

    def loudness_factor(self, beats: Fraction) -> float:
        """Return how much louder than written this player happens to strike at a beat."""
        size = self.amount * SIZES.get(self.part, 1.0)
        return 1.0 + LOUDNESS_SD * size * self.loudness.at(_cell(beats)) if size > 0 else 1.0


def human(part: str, amount: float, seed: int) -> Human:
    """Return how a part strays at a setting from 0 (exactly on the grid) to 1."""
    return Human(
        part=part,
        amount=amount,
        timing=PinkNoise(f"{seed}/{part}/timing", f"{seed}/band/timing"),
        loudness=PinkNoise(f"{seed}/{part}/loudness", f"{seed}/band/loudness"),
    )


def _cell(beats: Fraction) -> int:
    return CELLS_PER_BEAT * beats.numerator // beats.denominator
