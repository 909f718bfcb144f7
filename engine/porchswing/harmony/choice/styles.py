"""Styles: preferences and upper bounds of swaps and colours for each kind of tune.

Every style is a row of data. ``groups`` and ``colours`` are points added to the swaps of a
group (:attr:`SwapRow.group`) and to chord suffixes; ``shares`` bound which part of the bars a
group may touch. The figures are ours, set by reading the lanes they choose; no source gives any.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from porchswing.chart.model import Chart, Section
from porchswing.harmony.swaps.swap_row import SwapRow

MOST_REPEATS = {0: 9, 1: 9, 2: 4, 3: 2, 4: 2}
"""How often one swap may come within eight bars, by depth."""
NINTHS = {0: 1.0, 1: 1.0, 2: 1.0, 3: 0.55, 4: 0.55}
"""Which share of the dominants may be plain ninths, by depth."""
FARTHEST, ASKED = 4, 0.8
"""At the farthest depth its own swaps get so many points more: it was asked for."""
SELDOM = -0.8
"""Added to the rare swaps: a player is offered them, a lane hardly needs them."""
MINORS = 0.67
"""Which share of the minor chords of depth 2 the depths beyond it keep."""

OPENING: Mapping[str, float] = {"tritone": 1.0, "slip": 2.0, "chain": 0.4}
"""Taken off swaps of these groups that change the first bar of a section: it says where we are."""


@dataclass(frozen=True, slots=True)
class StyleRow:
    """One style: its name, the points it adds, and the shares of bars it bounds."""

    name: str
    groups: Mapping[str, float] = field(default_factory=dict)
    colours: Mapping[str, float] = field(default_factory=dict)
    shares: Mapping[str, float] = field(default_factory=dict)
    minors: float = MINORS


STYLES: dict[str, StyleRow] = {
    row.name: row
    for row in (
        StyleRow("medium swing", shares={"tritone": 0.3, "chain": 0.35, "sus": 0.1}),
        StyleRow(
            "ballad",
            {
                "line": 0.3,
                "bass": 0.25,
                "backdoor": 0.2,
                "chain": -0.6,
                "slip": -0.6,
                "sus": 0.1,
                "major third": -0.8,
            },
            {"maj7": 0.3, "m9": 0.2, "m6": 0.1},
            {"tritone": 0.25, "chain": 0.15, "sus": 0.15, "slip": 0.0},
            minors=0.9,
        ),
        StyleRow(
            "hot swing",
            {"diminished": 0.25, "chain": 0.2, "sus": -1.0, "bass": -0.1, "slip": 0.1},
            {"maj7": -0.5, "6": 0.1, "6/9": 0.05},
            {"tritone": 0.25, "chain": 0.4, "sus": 0.0},
        ),
        StyleRow(
            "blues",
            {"blues": 0.5, "chain": -0.4, "line": -0.5, "sus": -0.5, "tritone": -0.1, "slip": -0.5},
            {"maj7": -1.0, "13": 0.1},
            {"tritone": 0.25, "chain": 0.25, "sus": 0.1},
        ),
        StyleRow(
            "minor swing",
            {"diminished": 0.1, "line": 0.1},
            {"m6": 0.2, "7b9": 0.15},
            {"tritone": 0.3, "chain": 0.25, "sus": 0.1},
        ),
        StyleRow(
            "waltz",
            {"diminished": 0.2, "bass": 0.2, "slip": -0.3, "chain": -0.2},
            {"maj7": 0.2, "m9": 0.1},
            {"tritone": 0.25, "chain": 0.25, "sus": 0.15},
        ),
        StyleRow(
            "bossa",
            {
                "tritone": 0.2,
                "sus": 0.2,
                "diminished": 0.1,
                "chain": -0.4,
                "major third": -0.6,
                "secondary": -0.3,
            },
            {"maj7": 0.4, "6/9": 0.2, "m9": 0.2, "13": 0.1},
            {"tritone": 0.35, "chain": 0.15, "sus": 0.2},
            minors=0.8,
        ),
        StyleRow(
            "island vamp",
            {
                "tritone": -0.7,
                "chain": -0.6,
                "line": -0.3,
                "slip": -0.8,
                "diminished": -0.4,
                "sus": -0.4,
                "secondary": -0.3,
            },
            {"6": 0.1, "maj7": -0.2, "7#5": -0.6, "7b9": -0.2},
            {"tritone": 0.0, "chain": 0.1, "sus": 0.1},
            minors=0.9,
        ),
    )
}
"""The styles by name, as ``style:`` in a chart says them."""

BY_STRUM = {
    "bossa": "bossa",
    "island": "island vamp",
    "ballad": "ballad",
    "ballad_triplets": "ballad",
    "shuffle": "blues",
    "two_beat": "hot swing",
    "rag": "hot swing",
}
"""The style a strum pattern stands for by itself."""
SLOW_BPM, FAST_BPM = 84, 184
"""Below and above which felt tempo a tune is a ballad or hot."""
BLUES_SHARE = 0.6
"""Which share of the tonic and subdominant chords are sevenths in a blues."""


def style_of(chart: Chart, section: Section) -> StyleRow:
    """Return the style of a section: the chart's own, else by strum, meter, chords, tempo."""
    said = [settings.style for _, settings in section.settings if settings.style]
    name = said[0] if said else chart.settings.style
    if name is not None:
        return STYLES[name]
    strums = [settings.strum for _, settings in section.settings if settings.strum]
    strum = strums[0] if strums else chart.settings.strum
    if strum in BY_STRUM:
        return STYLES[BY_STRUM[strum]]
    if chart.meter.count % 3 == 0:
        return STYLES["waltz"]
    if _is_blues(chart, section):
        return STYLES["blues"]
    if chart.tempo_bpm < SLOW_BPM:
        return STYLES["ballad"]
    if chart.key.mode == "minor":
        return STYLES["minor swing"]
    return STYLES["hot swing" if chart.tempo_bpm > FAST_BPM else "medium swing"]


def _is_blues(chart: Chart, section: Section) -> bool:
    """Whether tonic and subdominant are dominant sevenths for the most part."""
    tonic = chart.key.tonic.pc
    home = [
        slot.chord.quality.family == "dominant"
        for bar in section.plain
        for slot in bar.slots
        if slot.chord and (slot.chord.root.pc - tonic) % 12 in (0, 5)
    ]
    return bool(home) and sum(home) >= BLUES_SHARE * len(home)


def in_style(rows: tuple[SwapRow, ...], style: StyleRow, depth: int) -> tuple[SwapRow, ...]:
    """Return rows with the points a style adds to them, rareness and the furthest depth too."""
    return tuple(
        replace(row, preference=row.preference + extra) if extra else row
        for row in rows
        for extra in [
            style.colours.get(row.suffix, 0.0)
            if row.colour
            else style.groups.get(row.group, 0.0)
            + (ASKED if _far(row, depth) else 0.0)
            + (SELDOM if row.rare else 0.0)
        ]
    )


def _far(row: SwapRow, depth: int) -> bool:
    return depth == row.depth == FARTHEST
