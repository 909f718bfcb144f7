"""Bass styles as data: bars of counted words that say what each note is for.

A file in ``patterns/bass`` counts a bar and puts a word under every count::

    [[bars]]
    count = "1 2 3 4"
    notes = "root . fifth ."
    loud  = "7 . 6 ."

Words: ``root`` (the slash bass where the chord names one), ``arrive`` (root, or the third by a
better line), ``third``, ``fifth``, ``octave``, ``chord`` (any chord tone), ``walk`` (chord,
scale or chromatic tone on its way), ``lead`` (into the next chord), ``pedal`` (the key's fifth,
held under everything), ``.`` (the note rings on) and ``-`` (it stops). ``loud`` is 1 to 9.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.band.groove import (
    RING_ON,
    STOP,
    Groove,
    loudness,
    parse_groove,
    sounding,
)
from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import (
    PatternData,
    Starts,
    cells_under,
    load_pattern_data,
    refuse_mixed_beats,
)

WORDS = ("root", "arrive", "third", "fifth", "octave", "chord", "walk", "lead", "pedal")
USUAL_LOUDNESS = "7"


@dataclass(frozen=True, slots=True)
class BassCell:
    """One note of a pattern: where it starts in the bar, its length, its word, its velocity."""

    onset_beats: Fraction
    duration_beats: Fraction
    word: str
    velocity: float


def parse_bass_style(data: PatternData) -> Groove[BassCell]:
    """Read a bass style; whatever is wrong raises an error with file and key path."""
    return parse_groove(data, ("notes", "loud"), _read_cells)


@lru_cache(maxsize=64)
def load_bass_style(name: str) -> Groove[BassCell]:
    """Return the bass style of that name; an unknown name suggests the nearest."""
    return parse_bass_style(load_pattern_data("bass", name))


def _read_cells(
    data: PatternData, row: Mapping[str, Any], path: str, starts: Starts, meter: Meter
) -> tuple[BassCell, ...]:
    refuse_mixed_beats(data, path, starts, meter)
    words = cells_under(data, f"{path}.notes", row.get("notes"), len(starts), "root . fifth .")
    loud_row = row.get("loud", " ".join([USUAL_LOUDNESS] * len(starts)))
    loud = cells_under(data, f"{path}.loud", loud_row, len(starts), "7 . 6 .")
    cells: list[BassCell] = []
    for index, length in sounding(data, f"{path}.notes", words, (*starts, meter.bar_beats)):
        word = words[index]
        if word not in WORDS:
            known = " ".join((*WORDS, RING_ON, STOP))
            data.fail(f"{path}.notes[{index}]", f"must be one of {known}, got {word!r}")
        velocity = loudness(data, f"{path}.loud[{index}]", loud[index])
        cells.append(BassCell(starts[index], length, word, velocity))
    return tuple(cells)
