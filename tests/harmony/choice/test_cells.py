"""Cells: what may fill a spot, worked out with swaps made up for the purpose."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import CHUNK, Cell, Refused, cells_of
from porchswing.harmony.passage.flow import flow_of, passage
from porchswing.harmony.passage.steps import PULSES, Offer, OfferedChord, Passage, needs, offer
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.symbols import parse_chord
from support.lanes import short_chart

BAR = 4 * PULSES


def view_of(bars: str, melody: str = "") -> Passage:
    chart = short_chart(bars, melody=melody)
    section = chart.section("A")
    return passage(chart, ("A",), range(len(section.plain)), flow_of(chart))


def swap(
    name: str, old: str, new: str, *, leads_to: int | None = None, liked: float = 1.0
) -> SwapRow:
    """Return a swap that puts chords of even length in the place of one.

    Its last chord must be followed by one on the root ``leads_to``, where that is given.
    """

    def offers(view: Passage, index: int) -> Iterator[Offer]:
        step, chords = view.steps[index], [parse_chord(symbol) for symbol in new.split()]
        if step.chord != parse_chord(old):
            return
        parts = [OfferedChord(chord, step.pulses // len(chords)) for chord in chords]
        if leads_to is not None:
            parts[-1] = parts[-1]._replace(after=needs([leads_to]))
        yield offer(name, view, index, index + 1, parts)

    return SwapRow(name, 1, "", "", "", "", "", offers, liked)


def made(
    bars: str, *rows: SwapRow, piles: int = 1, melody: str = ""
) -> tuple[tuple[Cell, ...], tuple[Refused, ...]]:
    return cells_of(view_of(bars, melody), rows, piles, CellEdges())


def chords(cell: Cell) -> str:
    return " ".join(step.chord.symbol for step in cell.steps if step.chord)


def test_a_cell_counts_its_minor_chords_once_a_bar() -> None:
    plain, _ = made("| Dm | Dm | Am C | Gsus4 | N.C. | Bdim7 |")
    assert [(chords(cell), cell.minors) for cell in plain] == [
        ("Dm", 2), ("Am", 1), ("C", 0), ("Gsus4", 0), ("", 0), ("Bdim7", 0),
    ]  # fmt: skip


@pytest.mark.parametrize("order", [1, -1])
def test_the_same_chords_are_named_by_the_swap_worth_most(order: int) -> None:
    """Whichever of two swaps is looked at first."""
    rows = [swap("liked", "C", "Am7", liked=2.0), swap("so-so", "C", "Am7", liked=1.0)]
    cells, _ = made("| C | F |", *rows[::order])
    (found,) = (cell for cell in cells if chords(cell) == "Am7")
    assert found.rows == ("liked",)


@pytest.mark.parametrize(
    ("more", "stays"),
    [
        ("Bm7 A7", True),  # comes before, and A7 still leads to D
        ("A7 Eb7", True),  # its tritone partner stands for it
        ("A7 C#dim7", True),  # the diminished chord on its third too
        ("A7 Bb7", False),
        ("A7 Bm7", False),
        ("Eb7 Bb7", True),  # it is given up for others
    ],
)
def test_a_dominant_is_not_parted_from_the_chord_it_leads_to(more: str, stays: bool) -> None:
    dominant = swap("dominant", "C", "A7", leads_to=2)
    cells, _ = made("| C | Dm |", dominant, swap("more", "A7", more), piles=2)
    assert "A7" in [chords(cell) for cell in cells]
    assert (more in [chords(cell) for cell in cells]) is stays


def test_a_chord_of_the_key_may_take_its_time() -> None:
    own = swap("own", "C", "Am7", leads_to=2)
    cells, _ = made("| C | Dm |", own, swap("more", "Am7", "Am7 Bm7"), piles=2)
    assert "Am7 Bm7" in [chords(cell) for cell in cells]


def test_a_refusal_says_where_the_melody_stands_against_it() -> None:
    """However many pieces a long tune is cut into, and however often a phrase comes back."""
    times = 3 * CHUNK // 4
    cells, refused = made(
        "|" + " C | Am | Dm | G7 |" * times,
        swap("other", "Dm", "Cmaj7"),
        melody="|" + " E5:4 | A4:4 | F5:4 | B4:4 |" * times,
    )
    places = [4 * BAR * time + 2 * BAR for time in range(times)]
    assert [(one.row, one.start) for one in refused] == [("other", place) for place in places]
    assert not any(cell.rows for cell in cells)
