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
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.band.groove import (
    RING_ON,
    STOP,
    Groove,
    cells_under,
    loudness,
    nothing_to_stop,
    parse_groove,
)
from porchswing.band.score import Hit
from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import PatternData, load_pattern_data

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
    data: PatternData, row: Mapping[str, Any], path: str, starts: tuple[Fraction, ...], meter: Meter
) -> tuple[Hit, ...]:
    """Return every stroke of a bar by onset, counted from the start of the bar."""
    hits: list[Hit] = []
    for piece in PIECES:
        if piece in row:
            cells = cells_under(data, f"{path}.{piece}", row[piece], len(starts))
            hits.extend(
                _row_hits(data, f"{path}.{piece}", piece, cells, (*starts, meter.bar_beats))
            )
    if not hits:
        data.fail(path, f"plays nothing; give it a row such as ride, one of {', '.join(PIECES)}")
    return tuple(sorted(hits, key=lambda hit: hit.onset_beats))


def _row_hits(
    data: PatternData, path: str, piece: str, cells: list[str], edges: tuple[Fraction, ...]
) -> list[Hit]:
    """Return the strokes of one row; ``edges`` are the starts of its cells and the bar's end."""
    hits: list[Hit] = []
    sounding = False
    for index, cell in enumerate(cells):
        start, end = edges[index], edges[index + 1]
        if cell == RING_ON:
            if sounding:
                hits[-1] = replace(hits[-1], duration_beats=end - hits[-1].onset_beats)
        elif cell == STOP:
            if not sounding:
                nothing_to_stop(data, f"{path}[{index}]")
            sounding = False
        else:
            hits.append(Hit(start, piece, loudness(data, f"{path}[{index}]", cell), end - start))
            sounding = True
    return hits
