"""The drum part: a groove under every bar, fills into sections, stops, and an ending that ends.

A file in ``patterns/drums`` counts a bar and gives each sound a row of loudness digits::

    [[bars]]
    count     = "1 & 2 & 3 & 4 &"
    ride      = "5 . 6 4 5 . 6 4"
    hat_pedal = ". . 6 . . . 6 ."

1 to 9 is a stroke and how loud; ``.`` lets it sound on (a brush sweep, a cymbal), ``-`` stops it.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.band.groove import loudness, parse_groove, sounding
from porchswing.band.places import breathing
from porchswing.band.rhythm_section import SectionBar, section_bars
from porchswing.band.score import Hit, PartScore
from porchswing.chart.model import Meter
from porchswing.chart.roadmap import Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import (
    Pattern,
    PatternData,
    Starts,
    cells_under,
    load_pattern_data,
    refuse_mixed_beats,
)

PIECES = (
    "ride",
    "ride_bell",
    "hat_pedal",
    "hat_closed",
    "hat_open",
    "brush_tap",
    "brush_sweep",
    "brush_slap",
    "kick",
    "snare",
    "side_stick",
    "sticks",
)
"""The kit; ``click_high`` and ``click_low`` belong to the count alone."""

STOP_HITS = (("kick", 0.7), ("brush_slap", 0.6))
"""What the drums play where the whole band stops."""


def parse_drum_groove(data: PatternData) -> Pattern[Hit]:
    """Read a groove; whatever is wrong raises an error with file and key path."""
    return parse_groove(data, PIECES, _read_hits)


@lru_cache(maxsize=64)
def load_drum_groove(name: str) -> Pattern[Hit]:
    """Return the groove of that name; an unknown name suggests the nearest."""
    return parse_drum_groove(load_pattern_data("drums", name))


def _read_hits(
    data: PatternData, row: Mapping[str, Any], path: str, starts: Starts, meter: Meter
) -> tuple[Hit, ...]:
    """Return every stroke of a bar by onset, counted from the start of the bar."""
    refuse_mixed_beats(data, path, starts, meter)
    hits: list[Hit] = []
    edges = (*starts, meter.bar_beats)
    for piece in [piece for piece in PIECES if piece in row]:
        cells = cells_under(data, f"{path}.{piece}", row[piece], len(starts), "5 . 6 4")
        for index, length in sounding(data, f"{path}.{piece}", cells, edges):
            velocity = loudness(data, f"{path}.{piece}[{index}]", cells[index])
            hits.append(Hit(starts[index], piece, velocity, length))
    if not hits:
        data.fail(path, f"plays nothing; give it a row such as ride, one of {', '.join(PIECES)}")
    return tuple(sorted(hits, key=lambda hit: hit.onset_beats))


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
