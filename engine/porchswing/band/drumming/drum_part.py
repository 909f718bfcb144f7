"""The drum part: a groove under every bar, fills into sections, stops, and an ending that ends."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from porchswing.band.changes import Change, changes_by_bar
from porchswing.band.drumming.drum_groove import load_drum_groove
from porchswing.band.ending import ended_on, final_onset
from porchswing.band.groove import Groove, groove_in
from porchswing.band.habits import habitual
from porchswing.band.places import BarPlace, breathing, groove_bar, pick_bar, places
from porchswing.band.score import Hit, PartScore
from porchswing.band.tune_seed import with_tune_seed
from porchswing.chart.roadmap import Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import COMPANIONS
from porchswing.rhythm.phrase import energies

STOP_HITS = (("kick", 0.7), ("brush_slap", 0.6))
"""What the drums play where the whole band stops."""


def drums_part(roadmap: Roadmap, style: BandStyle) -> PartScore:
    """Return what the drums play through a roadmap.

    The part depends on the roadmap, the seed, the strum's companions and ``style.drums``,
    ``style.variation`` and ``style.tempo_bpm`` alone.
    """
    style = with_tune_seed(style, roadmap)
    final = final_onset(roadmap, style) if roadmap.bars else Fraction(0)
    stands = places(roadmap, loop=style.loop)
    fullness = energies(roadmap)
    hits: list[Hit] = []
    used = {COMPANIONS}
    for index, changes in enumerate(changes_by_bar(roadmap)):
        bar = roadmap.bars[index]
        habit = habitual("drums", roadmap, bar, style)
        asked = style.drums or bar.settings.drums
        groove = groove_in("drums", asked, habit, roadmap.meter, load_drum_groove)
        used.add(f"drums/{groove.name}")
        played = _around_stops(_bar_hits(groove, stands[index], style, index, final), changes)
        start, energy = bar.start_beats, fullness[index]
        hits.extend(
            Hit(
                start + hit.onset_beats,
                hit.piece,
                breathing(hit.velocity, energy),
                hit.duration_beats,
            )
            for hit in played
        )
    return PartScore("drums", tuple(hits), "drums", tuple(sorted(used)))


def _bar_hits(
    groove: Groove[Hit], place: BarPlace, style: BandStyle, index: int, final: Fraction
) -> tuple[Hit, ...]:
    """Return what the groove plays in a bar; the last bar of all ends on the band's last beat."""
    chosen = pick_bar(groove.bars, place, style.variation, Random(f"{style.seed}/drums/{index}"))
    if not place.last:
        return chosen.cells
    ending = chosen.cells if chosen.place == "ending" else _stop_hits(Fraction(0))
    return ended_on(ending, groove_bar(groove.bars, place).cells, final)


def _around_stops(hits: tuple[Hit, ...], changes: tuple[Change, ...]) -> tuple[Hit, ...]:
    """Return a bar's hits with every ``{stop}`` played as one hit and silence after it."""
    for change in changes:
        if "stop" in change.marks:
            start = changes[0].onset_beats
            at, end = change.onset_beats - start, change.end_beats - start
            kept = [hit for hit in hits if not at <= hit.onset_beats < end]
            hits = tuple(sorted([*kept, *_stop_hits(at)], key=lambda hit: hit.onset_beats))
    return hits


def _stop_hits(onset_beats: Fraction) -> tuple[Hit, ...]:
    return tuple(Hit(onset_beats, piece, velocity) for piece, velocity in STOP_HITS)
