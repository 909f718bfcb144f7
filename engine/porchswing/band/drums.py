"""The drum part: a groove under every bar, fills into sections, stops, and an ending that ends."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from porchswing.band.changes import Change, changes_by_bar
from porchswing.band.drum_groove import load_drum_groove
from porchswing.band.groove import Groove, groove_in
from porchswing.band.habits import habitual
from porchswing.band.places import Place, breathing, pick_bar, places
from porchswing.band.score import Hit, PartScore
from porchswing.band.style import BandStyle
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.rhythm.phrase import energies

STOP_HITS = (("kick", 0.7), ("brush_slap", 0.6))
"""What the drums play where the whole band stops."""


def drums_part(roadmap: Roadmap, style: BandStyle) -> PartScore:
    """Return what the drums play through a roadmap.

    The part depends on the roadmap, the seed and ``style.drums``, ``style.variation`` and
    ``style.tempo_bpm`` alone.
    """
    stands = places(roadmap, loop=style.loop)
    fullness = energies(roadmap)
    hits: list[Hit] = []
    used: set[str] = set()
    for index, changes in enumerate(changes_by_bar(roadmap)):
        bar = roadmap.bars[index]
        habit = habitual("drums", roadmap, bar, style.tempo_bpm or roadmap.tempo_bpm)
        asked = style.drums or bar.settings.drums
        groove = groove_in("drums", asked, habit, roadmap.meter, load_drum_groove)
        used.add(f"drums/{groove.name}")
        played = _around_stops(_bar_hits(groove, stands[index], style, index, bar), changes)
        hits.extend(replace(h, velocity=breathing(h.velocity, fullness[index])) for h in played)
    return PartScore("drums", tuple(hits), "drums", tuple(sorted(used)))


def _bar_hits(
    groove: Groove[Hit], place: Place, style: BandStyle, index: int, bar: PlayedBar
) -> list[Hit]:
    """Return a bar of the groove in the time of the tune."""
    chosen = pick_bar(groove.bars, place, style.variation, Random(f"{style.seed}/drums/{index}"))
    if place.last and chosen.place != "ending":
        return _stop_hits(bar.start_beats)
    return [replace(hit, onset_beats=hit.onset_beats + bar.start_beats) for hit in chosen.cells]


def _around_stops(hits: list[Hit], changes: tuple[Change, ...]) -> list[Hit]:
    """Return the hits with every ``{stop}`` played as one hit and silence after it."""
    for change in changes:
        if "stop" in change.marks:
            stop = _stop_hits(change.onset_beats)
            hits = [h for h in hits if not change.onset_beats <= h.onset_beats < change.end_beats]
            hits = sorted([*hits, *stop], key=lambda hit: hit.onset_beats)
    return hits


def _stop_hits(onset_beats: Fraction) -> list[Hit]:
    return [Hit(onset_beats, piece, velocity) for piece, velocity in STOP_HITS]
