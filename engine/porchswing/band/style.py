"""How the band should play a take: the choices a teacher makes, with their defaults."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.model import SwingSetting


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
