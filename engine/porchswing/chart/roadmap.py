"""The unrolled form: every bar in playing order, with its beats and the settings in force."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from porchswing.chart.model import MelodyNote, Meter, Section, Settings, Slot, Syllable

Timed = TypeVar("Timed", Slot, MelodyNote)


def with_onsets(
    items: Iterable[Timed], first: Fraction = Fraction(0)
) -> Iterator[tuple[Fraction, Timed]]:
    """Yield slots or notes with the beat each enters at, the first one at ``first``."""
    for item in items:
        yield first, item
        first += item.beats


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit to a section: the indices of its bars in playing order, role and chorus."""

    section: Section
    indices: tuple[int, ...]
    role: str
    chorus: int


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar as it is played.

    ``section`` and ``bar`` (from 1, as written in the lane) give its place in the chart;
    ``base`` is the section whose place ``section`` takes the last time, else ``section``;
    ``pass_number`` counts how often this section has come so far (from 1); ``chorus`` counts
    choruses from 1 (0 in the intro, the last chorus' number in the ending); ``role`` is
    ``intro``, ``form`` or ``ending``. ``start_beats`` counts quarters from the first bar of
    music (the count-in is not part of the roadmap). ``settings`` is fully resolved: header
    values where nothing nearer was said. ``words`` are those of the verse
    sung here, or of every verse where one chorus does not come to them all.
    """

    section: str
    base: str
    bar: int
    pass_number: int
    chorus: int
    role: str
    start_beats: Fraction
    beats: Fraction
    slots: tuple[Slot, ...]
    settings: Settings
    melody: tuple[MelodyNote, ...] = ()
    words: tuple[tuple[Syllable, ...], ...] = ()

    @property
    def visit(self) -> tuple[str, str, int, int]:
        """What the bars of one visit to a section have in common."""
        return (self.role, self.section, self.pass_number, self.chorus)


@dataclass(frozen=True, slots=True)
class Roadmap:
    """A chart unrolled: one lane of it, bar after bar in playing order."""

    title: str
    lane: str
    meter: Meter
    tempo_bpm: float
    bars: tuple[PlayedBar, ...]

    @property
    def beats(self) -> Fraction:
        """Length of the whole in quarter-note beats."""
        return sum((bar.beats for bar in self.bars), Fraction(0))
