"""Phrase shape: where a bar stands in its phrase, section and chorus, and how full it should be.

The band breathes by it: two- and four-bar rises inside eight, a lighter first section, a fuller
one where the tune goes elsewhere, each chorus a little fuller, room at the end. Common practice,
no source; the sizes are ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from porchswing.chart.roadmap import PlayedBar, Roadmap

_FOUR_BAR_RISE = (-0.02, 0.0, 0.03, -0.03)
_EIGHT_BAR_RISE = 0.02
_FIRST_LIGHTER = -0.06
_BRIDGE_FULLER = 0.06
_CHORUS_STEP = 0.025
_MOST_CHORUS_STEPS = 3


@dataclass(frozen=True, slots=True)
class PhrasePlace:
    """Where one played bar stands.

    ``index`` counts bars of this playing of the section from 0, ``length`` is how many there
    are; ``energy`` is about -0.1 (light) to 0.15 (full).
    """

    index: int
    length: int
    energy: float
    is_last_of_tune: bool

    @property
    def closes_four(self) -> bool:
        """Whether a four-bar phrase ends here and the section goes on."""
        return self.index % 4 == 3

    @property
    def closes_eight(self) -> bool:
        """Whether an eight-bar phrase ends here."""
        return self.index % 8 == 7

    @property
    def closes_section(self) -> bool:
        """Whether the section ends here, after at least two bars."""
        return self.index == self.length - 1 and self.length > 1

    def suits(self, place: str) -> bool:
        """Say whether a pattern bar with this ``place`` may stand here."""
        return {
            "groove": True,
            "any": not self.is_last_of_tune,
            "every 4": self.closes_four and not self.is_last_of_tune,
            "every 8": self.closes_eight and not self.is_last_of_tune,
            "section end": self.closes_section and not self.is_last_of_tune,
            "ending": self.is_last_of_tune,
        }[place]


def phrase_places(roadmap: Roadmap, *, loop: bool = False) -> tuple[PhrasePlace, ...]:
    """Return where every played bar stands, in playing order; a loop has no last bar."""
    return tuple(_places(roadmap, loop))


def _places(roadmap: Roadmap, loop: bool) -> Iterator[PhrasePlace]:
    home = next((bar.section for bar in roadmap.bars if bar.role == "form"), None)
    last = None if loop or not roadmap.bars else roadmap.bars[-1]
    for _, group in groupby(roadmap.bars, _playing):
        bars = tuple(group)
        energy = _section_energy(bars[0], home)
        for index, bar in enumerate(bars):
            rise = _FOUR_BAR_RISE[index % 4] + (_EIGHT_BAR_RISE if index % 8 >= 4 else 0.0)
            yield PhrasePlace(index, len(bars), energy + rise, bar is last)


def _playing(bar: PlayedBar) -> tuple[str, int, int, str]:
    return (bar.section, bar.pass_number, bar.chorus, bar.role)


def _section_energy(bar: PlayedBar, home: str | None) -> float:
    """Return how full a whole section is played."""
    energy = _CHORUS_STEP * min(max(bar.chorus - 1, 0), _MOST_CHORUS_STEPS)
    if bar.role == "intro" or (bar.section == home and bar.pass_number == 1):
        return energy + _FIRST_LIGHTER
    if bar.role == "form" and bar.section != home:
        return energy + _BRIDGE_FULLER
    return energy
