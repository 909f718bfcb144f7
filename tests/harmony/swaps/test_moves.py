"""The trade's moves: each is found in four and in three, and in all twelve keys.

The moves are those of the table of swaps, laid over the example each row is known by; common
practice where a row names no source. In three a bar has no half, so a chord of two beats and
one of one share it.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Bar, Chart, Slot
from porchswing.chart.transpose import transpose
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.swaps.catalogue import SWAPS
from support.swap_cases import CASES

MOVES = tuple(row.name for row in SWAPS if not row.colour)
"""Every swap but the mere colours."""
WALTZ = 3
LEAST = 40


def chart_of(name: str, count: int) -> Chart:
    """Return the example of a move with so many beats in a bar."""
    case = CASES[name]
    tempo = 100 if count != WALTZ else 76
    lines = [f"key: {case.key}", f"tempo: {tempo}", f"meter: {count}/4"]
    lines += ["form: A", "ending: Z"] if case.ending else []
    lines += ["[A]", f"plain {in_bars_of(case.bars, count)}"]
    lines += ["[Z]", f"plain {in_bars_of(case.ending, count)}"] if case.ending else []
    return parse_chart("\n".join(lines) + "\n")


def in_bars_of(bars: str, count: int) -> str:
    """Return bars as they are written in three: two chords as one of two beats and one of one."""
    if count == WALTZ + 1:
        return bars
    words = [bar.split() for bar in bars.strip().strip("|").split("|")]
    return (
        "| "
        + " | ".join(f"{bar[0]} / {bar[1]}" if len(bar) == 2 else " ".join(bar) for bar in words)
        + " |"
    )


@cache
def lead_of(name: str, count: int) -> Lead:
    return reharmonize(chart_of(name, count), 0, use=[name])


def is_found(lead: Lead, name: str) -> bool:
    return name in {swap.name for swap in lead.swaps}


def test_in_four_every_move_is_found() -> None:
    assert [name for name in MOVES if not is_found(lead_of(name, 4), name)] == []
    assert len(MOVES) >= LEAST


def test_in_three_as_many_as_fit_are_found() -> None:
    missing = [name for name in MOVES if not is_found(lead_of(name, WALTZ), name)]
    assert missing == []


def skeleton(bars: tuple[Bar, ...], tonic_pc: int) -> list[tuple[int, str, int, Fraction]]:
    def heard(slot: Slot) -> tuple[int, str, int, Fraction]:
        assert slot.chord is not None
        return (
            (slot.chord.root.pc - tonic_pc) % 12,
            slot.chord.quality.suffix,
            (slot.chord.bass_note.pc - tonic_pc) % 12,
            slot.beats,
        )

    return [heard(slot) for bar in bars for slot in bar.slots]


@pytest.mark.parametrize("name", MOVES)
def test_in_twelve_keys_every_move_is_the_same(name: str) -> None:
    section = CASES[name].section
    chart = chart_of(name, 4)
    own = skeleton(lead_of(name, 4).chart.section(section).lane("swing"), chart.key.tonic.pc)
    for pc in range(1, 12):
        key = replace(chart.key, tonic=chart.key.spell(chart.key.tonic.pc + pc)).simple
        moved = reharmonize(transpose(chart, key), 0, use=[name]).chart.section(section)
        assert skeleton(moved.lane("swing"), key.tonic.pc) == own, key
