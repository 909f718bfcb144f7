"""Phrase shape: how full each bar of a tune is played, so that the band breathes together.

Two- and four-bar rises inside eight, a lighter first section, a fuller one where the tune goes
elsewhere, each chorus a little fuller. Common practice, no source; the sizes are ours.
"""

from __future__ import annotations

from itertools import groupby

from porchswing.chart.roadmap import PlayedBar, Roadmap

_FOUR_BAR_RISE = (-0.02, 0.0, 0.03, -0.03)
_SECOND_HALF_RISE = 0.02
_FIRST_LIGHTER = -0.06
_BRIDGE_FULLER = 0.06
_CHORUS_STEP = 0.025
_MOST_CHORUS_STEPS = 3


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
