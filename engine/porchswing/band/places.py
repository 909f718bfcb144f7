"""The place of a played bar, which of a pattern's bars is played there by chance, and how full.

A pattern file gives several bars; each says its ``place``: ``groove`` (the usual bar, taken in
turn where there are several), ``any`` (now and then instead), ``every 4`` and ``every 8`` (the
last bar of a phrase), ``section end`` (the bar before something new) and ``ending`` (the very
last bar).

Phrase shape makes the band breathe together: two- and four-bar rises inside eight, a lighter first
section, a fuller one where the tune goes elsewhere, each chorus a little fuller. Common practice,
no source; the sizes are ours.

What chance decides follows from the seed of the tune, :func:`tune_seed`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from random import Random

from porchswing.chart.language.values import MAX_SEED
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.rhythm.patterns import CellT, PatternBar

CHANCE_ANY = 0.4
"""How often an ``any`` bar is taken at full variation."""

CHANCE_PHRASE = 2.0
"""``every 4`` and ``every 8`` bars are always taken from half variation on."""

ENERGY_SHARE = 1.5
"""How much louder a bar is, as a share of its own loudness, for each unit of energy."""

QUIETEST = 0.05

_FOUR_BAR_RISE = (-0.02, 0.0, 0.03, -0.03)
_SECOND_HALF_RISE = 0.02
_FIRST_LIGHTER = -0.06
_BRIDGE_FULLER = 0.06
_CHORUS_STEP = 0.025
_MOST_CHORUS_STEPS = 3


@dataclass(frozen=True, slots=True)
class BarPlace:
    """The place of a bar: ``index`` from 0 in its section.

    ``section_end`` is the last bar before another section (or another pass) begins; ``last``
    is the very last bar of a take that ends.
    """

    index: int
    section_end: bool
    last: bool


def places(roadmap: Roadmap, *, loop: bool = False) -> tuple[BarPlace, ...]:
    """Return the place of every played bar; a ``loop`` has no last bar."""
    found: list[BarPlace] = []
    for _, group in groupby(roadmap.bars, key=lambda bar: bar.visit):
        length = len(list(group))
        found.extend(
            BarPlace(index, section_end=index == length - 1, last=False) for index in range(length)
        )
    if found and not loop:
        found[-1] = BarPlace(found[-1].index, section_end=False, last=True)
    return tuple(found)


def pick_bar(
    bars: Sequence[PatternBar[CellT]], place: BarPlace, variation: float, chance: Random
) -> PatternBar[CellT]:
    """Return the pattern's bar for a place; ``variation`` is 0 to 1, ``chance`` is the bar's own.

    The same number of values is drawn at every place and whatever is chosen.
    """
    phrase, any_bar, choice = chance.random(), chance.random(), chance.random()
    found: list[PatternBar[CellT]] = []
    if place.last or place.section_end:
        wanted = "ending" if place.last else "section end"
        found = [bar for bar in bars if bar.place == wanted]
    if not found and not place.last and phrase < CHANCE_PHRASE * variation:
        for length in (8, 4):
            if not found and (place.index + 1) % length == 0:
                found = [bar for bar in bars if bar.place == f"every {length}"]
    if not found and not place.last and any_bar < CHANCE_ANY * variation:
        found = [bar for bar in bars if bar.place == "any"]
    if found:
        return found[int(choice * len(found))]
    return groove_bar(bars, place)


def groove_bar(bars: Sequence[PatternBar[CellT]], place: BarPlace) -> PatternBar[CellT]:
    """Return the pattern's usual bar for a place, taken in turn where there are several."""
    groove = [bar for bar in bars if bar.place == "groove"]
    return groove[place.index % len(groove)]


def tune_seed(roadmap: Roadmap, seed: int | None) -> int:
    """Return the seed of a take from the tune's title, its section names and the seed asked for.

    Every tune has a band of its own, whatever its chords, lane, key or tempo: two versions of one
    tune are played by the same hands and can be compared.
    """
    sections = dict.fromkeys((bar.role, bar.section) for bar in roadmap.bars)
    scope = repr((seed or 0, roadmap.title, tuple(sections)))
    return int.from_bytes(hashlib.sha256(scope.encode()).digest()[:4]) & MAX_SEED


def energies(roadmap: Roadmap) -> tuple[float, ...]:
    """Return how full each played bar is, about -0.1 (light) to 0.17 (full), in playing order.

    The unit is loudness on the scale of 0 to 1 that strokes, plucks and hits have.
    """
    home = next((bar.section for bar in roadmap.bars if bar.role == "form"), None)
    found: list[float] = []
    for _, group in groupby(roadmap.bars, key=lambda bar: bar.visit):
        bars = tuple(group)
        whole = _section_energy(bars[0], home)
        for index in range(len(bars)):
            second_half = _SECOND_HALF_RISE if index % 8 >= 4 else 0.0
            found.append(whole + _FOUR_BAR_RISE[index % 4] + second_half)
    return tuple(found)


def _section_energy(bar: PlayedBar, home: str | None) -> float:
    """Return how full a whole section is played."""
    energy = _CHORUS_STEP * min(max(bar.chorus - 1, 0), _MOST_CHORUS_STEPS)
    is_first = bar.section == home and bar.pass_number == 1
    if bar.role == "intro" or is_first:
        return energy + _FIRST_LIGHTER
    if bar.role == "form" and bar.section != home:
        return energy + _BRIDGE_FULLER
    return energy


def breathing(velocity: float, energy: float) -> float:
    """Return a pattern's velocity in a bar as full as its ``energy`` (see :func:`energies`).

    Scaled, not shifted, so that accents keep their proportions.

    >>> round(breathing(0.5, 0.1), 3), round(breathing(0.6, 0.1), 3)
    (0.575, 0.69)
    """
    return max(QUIETEST, min(1.0, velocity * (1.0 + ENERGY_SHARE * energy)))
