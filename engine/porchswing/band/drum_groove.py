"""Drum grooves as data: bars of counted rows, one row for each sound of the kit.

A file in ``patterns/drums`` counts a bar and gives each sound a row of loudness digits::

    [[bars]]
    count     = "1 & 2 & 3 & 4 &"
    ride      = "5 . 6 4 5 . 6 4"
    hat_pedal = ". . 6 . . . 6 ."

1 to 9 is a stroke and how loud; ``-`` lets the stroke before it sound on (a brush sweep, a
cymbal); ``.`` is silence.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.band.pattern_cells import HOLD, SILENCE, cells_under, loudness, parse_place
from porchswing.band.score import Hit
from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import PatternData, load_pattern_data, parse_count

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

TOP_KEYS = ("title", "when", "meter", "feel", "bars")
BAR_KEYS = ("place", "count", *PIECES)


@dataclass(frozen=True, slots=True)
class DrumBar:
    """One bar of a groove and where it is played; hits count from the start of the bar."""

    place: str
    hits: tuple[Hit, ...]


@dataclass(frozen=True, slots=True)
class DrumGroove:
    """A groove: its ``title``, ``when`` a player uses it, ``meter``, ``feel`` and bars."""

    name: str
    title: str
    when: str
    meter: Meter
    feel: str
    bars: tuple[DrumBar, ...]


def parse_drum_groove(data: PatternData) -> DrumGroove:
    """Read a groove; whatever is wrong raises an error with file and key path."""
    data.allow_only(data.table, TOP_KEYS)
    meter = data.meter()
    bars = tuple(
        _parse_bar(data, row, f"bars[{index}]", meter)
        for index, row in enumerate(data.rows("bars"))
    )
    if not any(bar.place == "groove" for bar in bars):
        data.fail("bars", "needs at least one bar whose place is groove")
    return DrumGroove(
        name=data.name,
        title=data.text("title"),
        when=data.text("when"),
        meter=meter,
        feel=data.choice("feel", "swing", ("swing", "straight")),
        bars=bars,
    )


@lru_cache(maxsize=64)
def load_drum_groove(name: str) -> DrumGroove:
    """Return the groove of that name; an unknown name suggests the nearest."""
    return parse_drum_groove(load_pattern_data("drums", name))


def plain_drum_groove(meter: Meter) -> DrumGroove:
    """Return a groove for a meter no file is written in: ride on every unit, hat between."""
    unit = meter.unit_beats
    hits = [Hit(place * unit, "ride", 0.6 if place else 0.7, unit) for place in range(meter.count)]
    hits += [Hit(place * unit, "hat_pedal", 0.6, unit) for place in range(1, meter.count, 2)]
    when = "when no groove is written in the tune's meter"
    bar = DrumBar("groove", tuple(sorted(hits, key=lambda hit: hit.onset_beats)))
    return DrumGroove("plain", "Plain", when, meter, "swing", (bar,))


def _parse_bar(data: PatternData, row: Mapping[str, Any], path: str, meter: Meter) -> DrumBar:
    data.allow_only(row, BAR_KEYS, f"{path}.")
    starts = parse_count(data, f"{path}.count", row.get("count"), meter)
    ends = (*starts[1:], meter.bar_beats)
    hits: list[Hit] = []
    for piece in PIECES:
        if piece in row:
            cells = cells_under(data, f"{path}.{piece}", row[piece], len(starts))
            hits.extend(_row_hits(data, f"{path}.{piece}", piece, cells, starts, ends))
    if not hits:
        data.fail(path, f"plays nothing; give it a row such as ride, one of {', '.join(PIECES)}")
    place = parse_place(data, path, row)
    return DrumBar(place, tuple(sorted(hits, key=lambda hit: hit.onset_beats)))


def _row_hits(
    data: PatternData,
    path: str,
    piece: str,
    cells: list[str],
    starts: tuple[Fraction, ...],
    ends: tuple[Fraction, ...],
) -> list[Hit]:
    hits: list[Hit] = []
    sounding = False
    for index, (cell, start, end) in enumerate(zip(cells, starts, ends, strict=True)):
        if cell == SILENCE:
            sounding = False
        elif cell == HOLD:
            if not sounding:
                data.fail(f"{path}[{index}]", "has no stroke before it to sound on")
            last = hits[-1]
            hits[-1] = Hit(last.onset_beats, piece, last.velocity, end - last.onset_beats)
        else:
            hits.append(Hit(start, piece, loudness(data, f"{path}[{index}]", cell), end - start))
            sounding = True
    return hits
