"""Bass styles as data: bars of counted words that say what each note is for.

A file in ``patterns/bass`` counts a bar and puts a word under every count::

    [[bars]]
    count = "1 2 3 4"
    notes = "root - fifth -"
    loud  = "7 . 6 ."

Words: ``root`` (the slash bass where the chord names one), ``arrive`` (root, or the third by a
better line), ``third``, ``fifth``, ``octave``, ``chord`` (any chord tone), ``walk`` (chord,
scale or chromatic tone on its way), ``lead`` (into the next chord), ``pedal`` (the key's fifth,
held under everything), ``-`` (the note rings on) and ``.`` (silence). ``loud`` is 1 to 9.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.band.pattern_cells import HOLD, SILENCE, cells_under, loudness, parse_place
from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import PatternData, load_pattern_data, parse_count

WORDS = ("root", "arrive", "third", "fifth", "octave", "chord", "walk", "lead", "pedal")
USUAL_LOUDNESS = 7
TOP_KEYS = ("title", "when", "meter", "feel", "bars")
BAR_KEYS = ("place", "count", "notes", "loud")


@dataclass(frozen=True, slots=True)
class BassCell:
    """One note of a pattern: where it starts in the bar, its length, its word, its velocity."""

    onset_beats: Fraction
    duration_beats: Fraction
    word: str
    velocity: float


@dataclass(frozen=True, slots=True)
class BassBar:
    """One bar of a bass style and where it is played (see :mod:`porchswing.band.places`)."""

    place: str
    cells: tuple[BassCell, ...]


@dataclass(frozen=True, slots=True)
class BassStyle:
    """A bass style: its ``title``, ``when`` a player uses it, ``meter``, ``feel`` and bars."""

    name: str
    title: str
    when: str
    meter: Meter
    feel: str
    bars: tuple[BassBar, ...]


def parse_bass_style(data: PatternData) -> BassStyle:
    """Read a bass style; whatever is wrong raises an error with file and key path."""
    data.allow_only(data.table, TOP_KEYS)
    meter = data.meter()
    bars = tuple(_parse_bar(data, row, index, meter) for index, row in enumerate(data.rows("bars")))
    if not any(bar.place == "groove" for bar in bars):
        data.fail("bars", "needs at least one bar whose place is groove")
    return BassStyle(
        name=data.name,
        title=data.text("title"),
        when=data.text("when"),
        meter=meter,
        feel=data.choice("feel", "swing", ("swing", "straight")),
        bars=bars,
    )


@lru_cache(maxsize=64)
def load_bass_style(name: str) -> BassStyle:
    """Return the bass style of that name; an unknown name suggests the nearest."""
    return parse_bass_style(load_pattern_data("bass", name))


def plain_bass_style(meter: Meter) -> BassStyle:
    """Return a style for a meter no file is written in: arrive, then walk on every unit."""
    cells = tuple(
        BassCell(index * meter.unit_beats, meter.unit_beats, "walk" if index else "arrive", 0.7)
        for index in range(meter.count)
    )
    when = "when no pattern is written in the tune's meter"
    return BassStyle("plain", "Plain", when, meter, "swing", (BassBar("groove", cells),))


def _parse_bar(data: PatternData, row: Mapping[str, Any], index: int, meter: Meter) -> BassBar:
    path = f"bars[{index}]"
    data.allow_only(row, BAR_KEYS, f"{path}.")
    starts = parse_count(data, f"{path}.count", row.get("count"), meter)
    words = cells_under(data, f"{path}.notes", row.get("notes"), len(starts))
    loud_text = row.get("loud")
    loud = (
        [str(USUAL_LOUDNESS)] * len(starts)
        if loud_text is None
        else cells_under(data, f"{path}.loud", loud_text, len(starts))
    )
    ends = [*starts[1:], meter.bar_beats]
    cells: list[BassCell] = []
    ringing = False
    for place_in_bar, (start, end, word, digit) in enumerate(
        zip(starts, ends, words, loud, strict=True)
    ):
        if word == HOLD:
            if not ringing:
                data.fail(f"{path}.notes[{place_in_bar}]", "has no note before it to ring on")
            last = cells[-1]
            cells[-1] = BassCell(last.onset_beats, end - last.onset_beats, last.word, last.velocity)
        elif word == SILENCE:
            ringing = False
        elif word in WORDS:
            velocity = loudness(data, f"{path}.loud[{place_in_bar}]", digit)
            cells.append(BassCell(start, end - start, word, velocity))
            ringing = True
        else:
            known = ", ".join((*WORDS, HOLD, SILENCE))
            data.fail(f"{path}.notes[{place_in_bar}]", f"must be one of {known}, got {word!r}")
    return BassBar(parse_place(data, path, row), tuple(cells))
