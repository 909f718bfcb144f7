"""The drum part: a groove under every bar, fills into sections, stops, and an ending that ends."""

from __future__ import annotations

from fractions import Fraction

from porchswing.band.drumming.drum_groove import load_drum_groove
from porchswing.band.places import breathing
from porchswing.band.rhythm_section import SectionBar, section_bars
from porchswing.band.score import Hit, PartScore
from porchswing.chart.roadmap import Roadmap
from porchswing.options import BandStyle

STOP_HITS = (("kick", 0.7), ("brush_slap", 0.6))
"""What the drums play where the whole band stops."""


def drums_part(roadmap: Roadmap, style: BandStyle) -> PartScore:
    """Return what the drums play through a roadmap.

    The part depends on the roadmap, the seed, the strum's companions and ``style.drums``,
    ``style.variation`` and ``style.tempo_bpm`` alone.
    """
    bars, used = section_bars(
        "drums", roadmap, style, load_drum_groove, lambda _: _stop_hits(Fraction(0))
    )
    hits = (
        Hit(
            bar.start_beats + hit.onset_beats,
            hit.piece,
            breathing(hit.velocity, bar.energy),
            hit.duration_beats,
        )
        for bar in bars
        for hit in _around_stops(bar)
    )
    return PartScore("drums", tuple(hits), "drums", used)


def _around_stops(bar: SectionBar[Hit]) -> tuple[Hit, ...]:
    """Return a bar's hits with every ``{stop}`` played as one hit and silence after it."""
    hits = bar.cells
    for change in bar.changes:
        if "stop" in change.marks:
            at, end = change.onset_beats - bar.start_beats, change.end_beats - bar.start_beats
            kept = [hit for hit in hits if not at <= hit.onset_beats < end]
            hits = tuple(sorted([*kept, *_stop_hits(at)], key=lambda hit: hit.onset_beats))
    return hits


def _stop_hits(onset_beats: Fraction) -> tuple[Hit, ...]:
    return tuple(Hit(onset_beats, piece, velocity) for piece, velocity in STOP_HITS)
