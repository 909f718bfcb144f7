"""The lead: a chart whose every section has a swing lane, with the swaps that made it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.model import Chart


@dataclass(frozen=True, slots=True)
class Swap:
    """One swap as the swing lane has it.

    ``name`` and ``reason`` are its row's; ``section`` and ``bar`` (from 1) say where it starts
    and ``beat`` at which beat of that bar, in meter units from 1; ``bars`` how many bars it
    reaches over. ``before`` and ``after`` are chord symbols; ``stays`` names the guide tones
    that are kept, ``moves`` the notes that give way (``C>Db``) or come in (``+D``), and
    ``listen`` says what to listen for.
    """

    name: str
    reason: str
    section: str
    bar: int
    beat: Fraction
    bars: int
    before: tuple[str, ...]
    after: tuple[str, ...]
    stays: tuple[str, ...] = ()
    moves: tuple[str, ...] = ()
    listen: str = ""


@dataclass(frozen=True, slots=True)
class Blocked:
    """A swap the melody guard did not allow, with its reason."""

    name: str
    section: str
    bar: int
    reason: str


@dataclass(frozen=True, slots=True)
class LastTime:
    """A section of its own for the last time: whose place it takes, and its bars that differ."""

    section: str
    base: str
    bars: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lead:
    """A chart with a swing lane in every section: what the grips are chosen for."""

    chart: Chart
    depth: int = 0
    swaps: tuple[Swap, ...] = ()
    blocked: tuple[Blocked, ...] = ()
    points: float = 0.0
    last: tuple[LastTime, ...] = ()

    def __str__(self) -> str:
        """Return the swing lane section by section, then the number of swaps in it."""
        lanes = [
            f"[{section.name}] | "
            + " | ".join(
                " ".join(str(slot.chord) if slot.chord else "N.C." for slot in bar.slots)
                for bar in section.lane("swing")
            )
            + " |"
            for section in self.chart.sections
        ]
        return "\n".join([self.chart.title, *lanes, f"{len(self.swaps)} swaps"])
