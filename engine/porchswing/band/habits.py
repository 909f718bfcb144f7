"""What the rhythm section plays when nobody says: by meter, tempo and how far the tune has come.

Common practice (no source): a light two-feel under the first strain, walking under the bridge
and from the second chorus on; slow tunes as ballads.
"""

from __future__ import annotations

from typing import NamedTuple

from porchswing.chart.roadmap import PlayedBar, Roadmap

BALLAD_BELOW_BPM = 72.0
"""Felt tempo under which a tune in four is played as a ballad."""


class Habit(NamedTuple):
    """Pattern names of one part: for the light strains, the full ones, and slow tunes."""

    light: str
    full: str
    slow: str


HABITS = {
    ("bass", "4/4"): Habit("two", "walk", "ballad"),
    ("bass", "3/4"): Habit("waltz", "waltz_walk", "waltz"),
    ("bass", "2/4"): Habit("two_four", "two_four", "two_four"),
    ("bass", "6/8"): Habit("six_eight", "six_eight", "six_eight"),
    ("drums", "4/4"): Habit("brushes", "ride", "ballad_brushes"),
    ("drums", "3/4"): Habit("brush_waltz", "ride_waltz", "brush_waltz"),
    ("drums", "2/4"): Habit("two_four", "two_four", "two_four"),
    ("drums", "6/8"): Habit("six_eight", "six_eight", "six_eight"),
}
"""Habits by part and meter."""

OTHER_METERS = {
    ("bass", 4): Habit("walk", "walk", "walk"),
    ("bass", 8): Habit("six_eight", "six_eight", "six_eight"),
    ("drums", 4): Habit("ride", "ride", "ride"),
    ("drums", 8): Habit("six_eight", "six_eight", "six_eight"),
}
"""Habits by part and unit in any other meter; their bars are repeated and cut to fit."""


def habitual(part: str, roadmap: Roadmap, bar: PlayedBar, tempo_bpm: float) -> str:
    """Return the pattern a part plays in a bar by habit; ``tempo_bpm`` is felt."""
    meter = roadmap.meter
    habit = HABITS.get((part, str(meter))) or OTHER_METERS[part, meter.unit]
    if tempo_bpm < BALLAD_BELOW_BPM:
        return habit.slow
    return habit.full if is_full(roadmap, bar) else habit.light


def is_full(roadmap: Roadmap, bar: PlayedBar) -> bool:
    """Say whether a bar is a full strain: the bridge, or anything from the second chorus on."""
    if bar.role != "form":
        return False
    first = next(b.section for b in roadmap.bars if b.role == "form")
    return bar.chorus > 1 or bar.section != first
