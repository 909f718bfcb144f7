"""A singer's range, and how much of a tune lies outside it in a key.

A singer may take the whole tune an octave or more lower or higher than written: common practice,
no source. Single notes are never moved.
"""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.language.melody_lane import read_pitch
from porchswing.chart.language.problems import TextError
from porchswing.chart.model import Chart
from porchswing.errors import OptionError


@dataclass(frozen=True, slots=True)
class Singer:
    """The lowest and the highest note of a voice, as MIDI note numbers."""

    low: int
    high: int

    @classmethod
    def parse(cls, text: str) -> Singer:
        """Read two pitches divided by two dots.

        >>> Singer.parse("A3..D5")
        Singer(low=57, high=74)
        """
        low_name, dots, high_name = (part.strip() for part in text.partition(".."))
        try:
            low, high = read_pitch(low_name), read_pitch(high_name)
        except TextError:
            low = high = None
        if not dots or low is None or high is None or low >= high:
            raise OptionError(
                f"a singer's range is lowest..highest note, for example A3..D5, got {text!r}"
            )
        return cls(low, high)

    def notes_outside(self, pitches: tuple[int, ...]) -> int:
        """Return how many notes lie outside the voice, in the octave where the fewest do.

        >>> Singer(57, 74).notes_outside((76, 79, 81))
        0
        >>> Singer(57, 62).notes_outside((60, 62, 74))
        1
        """
        octaves = range(-120, 121, 12)
        return min(
            sum(not self.low <= pitch + shift <= self.high for pitch in pitches)
            for shift in octaves
        )


def sung_pitches(chart: Chart) -> tuple[int, ...]:
    """Return the MIDI note numbers of the melody lane, every section once."""
    return tuple(
        note.pitch
        for section in chart.sections
        for bar in section.melody or ()
        for note in bar
        if note.pitch is not None
    )
