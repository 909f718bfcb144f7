"""The lead: a chart whose every section has a swing lane, with the swaps that made it."""

from __future__ import annotations

from fractions import Fraction

from porchswing.chart.model import Chart
from porchswing.records import record


@record
class Swap:
    """One swap as it stands in the swing lane.

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


@record
class Blocked:
    """A swap the melody guard did not allow, with its reason."""

    name: str
    section: str
    bar: int
    reason: str


@record
class Lead:
    """A chart with a swing lane in every section: what the grips are chosen for."""

    chart: Chart
    depth: int = 0
    swaps: tuple[Swap, ...] = ()
    blocked: tuple[Blocked, ...] = ()
    points: float = 0.0

    def __str__(self) -> str:
        """Return both lanes in aligned bars, with every swap and its reason."""
        from porchswing.harmony.analysis.explain import explained

        return explained(self)
