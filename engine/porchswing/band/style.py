"""How the band should play a take: the choices a teacher makes, with their defaults."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.model import SwingSetting
from porchswing.errors import OptionError

SLOWEST_BPM, FASTEST_BPM = 10.0, 600.0
"""Felt tempos a take may have: charts keep to 30 to 400, drills may go below and above."""

SHARES = ("density", "variation", "backbeat", "slides", "ritardando", "feel")
MAX_COUNT_IN_BARS = 8


@dataclass(frozen=True, slots=True)
class BandStyle:
    """Choices for one take; ``None`` leaves a choice to the chart, then to the band's habit.

    ``tempo_bpm`` counts the felt beat; ``strum``, ``bass`` and ``drums`` name patterns;
    ``density``, ``variation``, ``backbeat`` and ``slides`` run from 0 to 1; ``count_in_bars``
    is 0 for none; ``loop`` plays the last bar into the first, without an ending.
    ``chorus_tempos_bpm`` climbs a ladder, one felt tempo a chorus; ``ritardando`` is the share
    of the tempo lost by the last beat (0.25: a quarter slower); ``feel`` from 0 to 1 lets the
    parts swing at ratios of their own, as they were measured. ``extra_parts`` names parts that
    play only when asked for: ``line`` and ``melody``.
    """

    tempo_bpm: float | None = None
    swing: SwingSetting | None = None
    strum: str | None = None
    bass: str | None = None
    drums: str | None = None
    density: float = 0.5
    variation: float = 0.5
    backbeat: float | None = None
    slides: float = 0.2
    count_in_bars: int | None = None
    line_string: int | None = None
    chorus_tempos_bpm: tuple[float, ...] = ()
    ritardando: float = 0.0
    feel: float = 0.0
    loop: bool = False
    extra_parts: tuple[str, ...] = ()
    seed: int = 0

    def __post_init__(self) -> None:
        """Check each field once; the error names the field, the allowed range and the value."""
        for name in SHARES:
            _check(name, getattr(self, name), 0.0, 1.0)
        for tempo_bpm in (self.tempo_bpm, *self.chorus_tempos_bpm):
            _check("tempo", tempo_bpm, SLOWEST_BPM, FASTEST_BPM)
        if self.swing is not None and self.swing.ratio is not None:
            _check("swing", float(self.swing.ratio), 1.0, 4.0)
        _check("count_in_bars", self.count_in_bars, 0, MAX_COUNT_IN_BARS)


def _check(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not low <= value <= high:
        raise OptionError(f"{name} must be from {low:g} to {high:g}, got {value:g}")
