"""Drum grooves as data: bars of counted rows, one row for each sound of the kit.

A file in ``patterns/drums`` counts a bar and gives each sound a row of loudness digits::

    [[bars]]
    count     = "1 & 2 & 3 & 4 &"
    ride      = "5 . 6 4 5 . 6 4"
    hat_pedal = ". . 6 . . . 6 ."

1 to 9 is a stroke and how loud; ``.`` lets it sound on (a brush sweep, a cymbal), ``-`` stops it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from porchswing.band.groove import (
    Groove,
    loudness,
    parse_groove,
    sounding,
)
from porchswing.band.score import Hit
from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import (
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


def parse_drum_groove(data: PatternData) -> Groove[Hit]:
    """Read a groove; whatever is wrong raises an error with file and key path."""
    return parse_groove(data, PIECES, _read_hits)


@lru_cache(maxsize=64)
def load_drum_groove(name: str) -> Groove[Hit]:
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
