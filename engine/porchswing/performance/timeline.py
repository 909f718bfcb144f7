"""From written beats to ticks to seconds: the one clock MIDI and audio share.

Beats are warped by the swing of the part that plays them, rounded to whole ticks, and
seconds follow from the ticks through tempo events of whole microseconds per quarter, as a
Standard MIDI File stores them. Tick 0 is where the count-in begins (beat 0 without one).
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from math import inf
from typing import NamedTuple

from porchswing.band.score import Score
from porchswing.performance.model import TempoEvent
from porchswing.rhythm.tempo import TempoMap
from porchswing.units import TICKS_PER_BEAT


class Timeline(NamedTuple):
    """The clock of one take: swing and tempo of the score, count-in included.

    ``starts`` are the ticks from which the ``events`` hold, the first one since ever.
    """

    tempo_map: TempoMap
    count_in_beats: Fraction
    events: tuple[TempoEvent, ...]
    starts: tuple[float, ...]

    def plain_ticks(self, beats: Fraction) -> int:
        """Return the whole tick of a written beat left unswung (labels, tempo, bar lines)."""
        counted = beats + self.count_in_beats
        return round(counted.numerator * TICKS_PER_BEAT / counted.denominator)

    def seconds(self, tick: int) -> float:
        """Return clock seconds of a tick, exactly as a MIDI reader computes them."""
        event = self.events[bisect_right(self.starts, tick) - 1]
        return event.seconds + (tick - event.tick) * event.us_per_quarter / (TICKS_PER_BEAT * 1e6)

    def ticks_per_second(self, tick: int) -> float:
        """Return how many ticks pass in a second at a tick."""
        event = self.events[bisect_right(self.starts, tick) - 1]
        return TICKS_PER_BEAT * 1e6 / event.us_per_quarter

    def quarter_s(self, tick: int) -> float:
        """Return the length in seconds of a quarter note at a tick."""
        return self.events[bisect_right(self.starts, tick) - 1].us_per_quarter / 1e6

    def shifted(self, tick: int, offset_s: float) -> int:
        """Return the tick ``offset_s`` seconds from a tick, never before 0."""
        return max(0, tick + round(offset_s * self.ticks_per_second(tick)))


def timeline_of(score: Score) -> Timeline:
    """Build the clock of a score: its tempo segments as MIDI tempo events."""
    events: list[TempoEvent] = []
    for segment in score.tempo_map.segments:
        start = segment.start_beats + score.count_in_beats if events else Fraction(0)
        tick = max(0, round(start * TICKS_PER_BEAT))
        us_per_quarter = segment.us_per_quarter
        if not events:
            events.append(TempoEvent(tick, us_per_quarter, 0.0))
            continue
        last = events[-1]
        seconds = last.seconds + (tick - last.tick) * last.us_per_quarter / (TICKS_PER_BEAT * 1e6)
        if tick == last.tick:
            events[-1] = TempoEvent(tick, us_per_quarter, seconds)
        elif us_per_quarter != last.us_per_quarter:
            events.append(TempoEvent(tick, us_per_quarter, seconds))
    return Timeline(
        tempo_map=score.tempo_map,
        count_in_beats=score.count_in_beats,
        events=tuple(events),
        starts=(-inf, *(event.tick for event in events[1:])),
    )
