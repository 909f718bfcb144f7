"""The bass part: a style's words set over the changes, then the best line through them.

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

from porchswing.band.bass.bass_line import best_line
from porchswing.band.bass.bass_notes import BassOnset
from porchswing.band.groove import RING_ON, STOP, loudness, parse_groove, sounding
from porchswing.band.places import breathing, tune_seed
from porchswing.band.rhythm_section import SectionBar, section_bars
from porchswing.band.score import PartScore, Pluck
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
from porchswing.theory.keys import Key

WORDS = ("root", "arrive", "third", "fifth", "octave", "chord", "walk", "lead", "pedal")
USUAL_LOUDNESS = "7"
ENTRY_VELOCITY = 0.7
STOP_BEATS = Fraction(1, 2)
"""Under ``{stop}`` the band plays the chord this short and rests until the next."""

DEFAULT_KEY = Key.parse("C")


@dataclass(frozen=True, slots=True)
class BassCell:
    """One note of a pattern: where it starts in the bar, its length, its word, its velocity."""

    onset_beats: Fraction
    duration_beats: Fraction
    word: str
    velocity: float


def parse_bass_style(data: PatternData) -> Pattern[BassCell]:
    """Read a bass style; whatever is wrong raises an error with file and key path."""
    return parse_groove(data, ("notes", "loud"), _read_cells)


@lru_cache(maxsize=64)
def load_bass_style(name: str) -> Pattern[BassCell]:
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


def bass_part(roadmap: Roadmap, style: BandStyle, key: Key = DEFAULT_KEY) -> PartScore:
    """Return what the bass plays through a roadmap.

    ``key`` decides which scale tones the line passes through and which note a pedal holds.
    The part depends on the roadmap, the key, the seed, the strum's companions and
    ``style.bass``, ``style.variation`` and ``style.tempo_bpm`` alone.
    """
    bars, used = section_bars(
        "bass",
        roadmap,
        style,
        load_bass_style,
        lambda bar: (BassCell(Fraction(0), bar.beats, "root", ENTRY_VELOCITY),),
    )
    spots = [spot for index, bar in enumerate(bars) for spot in _spots(bar, index)]
    pitches = best_line(spots, key, tune_seed(roadmap, style.seed))
    plucks = (
        Pluck(
            spot.onset_beats,
            spot.duration_beats,
            pitch,
            breathing(spot.velocity, bars[spot.bar].energy),
        )
        for spot, pitch in zip(spots, pitches, strict=True)
    )
    return PartScore("bass", tuple(plucks), "bass", used)


def _spots(bar: SectionBar[BassCell], index: int) -> list[BassOnset]:
    """Set one bar's words over its changes: every entry sounds, N.C. and stops are silent."""
    spots: list[BassOnset] = []
    start = bar.start_beats
    for change in bar.changes:
        chord = change.chord
        if chord is None:
            continue
        at, end = change.onset_beats - start, change.end_beats - start  # in the bar
        inside = [cell for cell in bar.cells if at <= cell.onset_beats < end]
        if "stop" in change.marks or "hold" in change.marks:
            length = end - at
            if "stop" in change.marks:
                length = min(length, STOP_BEATS)
            inside = [BassCell(at, length, "root", ENTRY_VELOCITY)]
        elif change.enters and not (inside and inside[0].onset_beats == at):
            length = (inside[0].onset_beats if inside else end) - at
            inside.insert(0, BassCell(at, length, "root", ENTRY_VELOCITY))
        spots.extend(
            BassOnset(
                onset_beats=start + cell.onset_beats,
                duration_beats=min(cell.duration_beats, end - cell.onset_beats),
                word=cell.word,
                velocity=cell.velocity,
                chord=chord,
                bar=index,
                entry=change.enters and cell.onset_beats == at,
            )
            for cell in inside
        )
    return spots
