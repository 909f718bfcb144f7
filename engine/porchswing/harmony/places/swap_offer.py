"""What an offer of a swap is: a way to play one bar, with its reason and what it changes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

AS_WRITTEN = "as written"
"""The name of the offer that goes back to the chart."""


@dataclass(frozen=True, slots=True)
class BarChange:
    """A bar that an offer changes besides its own: bar from 1, chords before and after."""

    bar: int
    before: tuple[str, ...]
    after: tuple[str, ...]
    beats: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class SwapOffer:
    """One way to play a bar.

    ``symbols`` and ``beats`` (in quarters) are the bar's chords; ``name`` is that of its swap;
    ``depth`` is the depth at which the reharmoniser would use it;
    ``changes`` are the other bars that change with it. ``fits`` says whether the melody allows
    it, ``melody`` how its held notes sound over the chords. ``points`` above 0 gain on the
    written chords.
    """

    section: str
    bar: int
    symbols: tuple[str, ...]
    beats: tuple[Fraction, ...]
    name: str
    depth: int
    reason: str
    listen: str
    changes: tuple[BarChange, ...]
    melody: str
    fits: bool
    points: float
