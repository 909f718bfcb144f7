"""The pattern of the rhythm section where the chart gives none: the companions of the strum.

Which strain is a light one and which a full one is common practice (no source): light under the
first section, full under the bridge and from the second chorus on; slow tunes as ballads.
"""

from __future__ import annotations

from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.companions import companions_of
from porchswing.rhythm.strum import strum_for

BALLAD_BELOW_BPM = 72.0
"""Felt tempo under which a tune is played as a ballad."""


def habitual(part: str, roadmap: Roadmap, bar: PlayedBar, style: BandStyle) -> str:
    """Return the pattern of ``bass`` or ``drums`` that belongs to the strum of a bar."""
    strum = strum_for(style.strum or bar.settings.strum, roadmap.meter)
    lifts = companions_of(strum, roadmap.meter).lifts[part]
    is_slow = (style.tempo_bpm or roadmap.tempo_bpm) < BALLAD_BELOW_BPM
    return lifts.at(slow=is_slow, full=is_full(roadmap, bar))


def is_full(roadmap: Roadmap, bar: PlayedBar) -> bool:
    """Whether a bar is in a full strain: the bridge, or anything from the second chorus on."""
    if bar.role != "form":
        return False
    first = next(b.section for b in roadmap.bars if b.role == "form")
    return bar.chorus > 1 or bar.section != first
