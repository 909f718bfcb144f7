"""Locked grips and fret windows: where they hold, and charts without them."""

from __future__ import annotations

from dataclasses import replace

from porchswing.chart.model import Bar, Chart
from porchswing.errors import TuningError
from porchswing.grips.model import Tuning
from porchswing.grips.tunings import tuning as tuning_of


def locks_hold(chart: Chart, tuning: Tuning) -> bool:
    """Say whether the grips locked in a chart sound the same chords on a tuning.

    They do where its strings have the notes of the chart's own tuning, in any octave.
    """
    try:
        own = tuning_of(chart.tuning)
    except TuningError:
        return False
    return _strings(own) == _strings(tuning)


def _strings(tuning: Tuning) -> tuple[tuple[int, ...], tuple[int, ...]]:
    return tuple(note % 12 for note in tuning.open_midi), tuning.used


def unlocked(chart: Chart) -> Chart:
    """Return a chart with every grip lock taken away."""
    return replace(
        chart,
        sections=tuple(
            replace(
                section,
                plain=_unlocked(section.plain),
                swing=None if section.swing is None else _unlocked(section.swing),
            )
            for section in chart.sections
        ),
    )


def _unlocked(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    return tuple(
        replace(bar, slots=tuple(replace(slot, lock=None) for slot in bar.slots)) for bar in bars
    )


def unbound(chart: Chart) -> Chart:
    """Return a chart with every grip lock and fret window taken away."""
    return replace(
        unlocked(chart),
        settings=replace(chart.settings, frets=None),
        sections=tuple(
            replace(
                section,
                settings=tuple((bar, replace(said, frets=None)) for bar, said in section.settings),
            )
            for section in unlocked(chart).sections
        ),
    )
