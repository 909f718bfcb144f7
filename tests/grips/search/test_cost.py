"""What is counted of a grip, a move and a line: by hand, on gCEA unless said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.cost import (
    change_costs,
    grip_terms,
    move_terms,
    weight_steps,
    wrong_bass,
)
from porchswing.grips.search.line_cost import LineLabel, line_costs, turn_costs
from porchswing.grips.search.table import grip_table, with_fingerings
from porchswing.grips.shapes.hand import CLOSED_HAND, Weights
from porchswing.grips.shapes.model import Tuning
from porchswing.grips.shapes.tunings import tuning
from porchswing.theory.symbols import parse_chord
from support.made import move_cost

UKE, GUITAR = tuning("gCEA"), tuning("guitar")
HAND = replace(CLOSED_HAND, region=(5, 7))


def counted(symbol: str, frets: str, strings=UKE) -> dict[str, int]:
    """Return what is counted of a grip, what is not there left out."""
    terms = grip_terms(parse_chord(symbol), read_grip(frets, strings), HAND)
    assert all(
        cost
        == pytest.approx(
            getattr(HAND.weights, name) * number / (20 if name == "awkward" else 1), abs=0.05
        )
        for name, number, cost in terms
    )
    return {name: number for name, number, _ in terms if number and name != "awkward"}


@pytest.mark.parametrize(
    ("symbol", "frets", "counts"),
    [
        ("A9", "6777", {"finger": 2, "no_root": 1, "no_open": 1}),  # C# G B E
        ("E7", "7877", {"finger": 2, "away": 1, "no_open": 1}),
        ("C6", "0000", {}),
        ("C", "0003", {"finger": 1, "away": 2}),  # only what is pressed lies anywhere
        ("Cmaj7", "0002", {"finger": 1, "away": 3}),
        ("C7", "3433", {"finger": 2, "away": 2, "no_open": 1}),  # C E G Bb from a low third
        ("C5", "0033", {"finger": 2, "away": 2}),
        ("C7", "5767", {"finger": 4, "third_finger": 3, "no_open": 1}),
        ("Am", "9xx7", {"finger": 2, "away": 2, "muted": 2, "no_root": 1, "no_open": 1}),
        (
            "C",
            "0737",  # three times G: two pairs of neighbours alike
            {"finger": 3, "third_finger": 1, "away": 2, "stretch": 2, "unison": 2, "no_root": 1},
        ),
        ("F", "2010", {"finger": 2, "away": 4}),
    ],
)
def test_what_forming_a_grip_counts(symbol, frets, counts):
    assert counted(symbol, frets) == counts


def test_bass_notes_count_where_a_bass_is_heard():
    assert counted("C", "x32010", GUITAR) == {
        "finger": 3, "third_finger": 1, "away": 4, "muted": 1,
    }  # fmt: skip
    assert counted("C", "032010", GUITAR)["root_bass"] == 1
    assert "root_bass" not in counted("C/G", "332010", GUITAR)
    assert "wrong_bass" not in counted("C/G", "332010", GUITAR)
    assert counted("C/G", "x32010", GUITAR)["wrong_bass"] == 1
    assert "wrong_bass" not in counted("C/G", "0003")


def test_the_lowest_note_of_midi_is_a_note():
    """Note number 0 sounds; only what lies below it is silence."""
    low = Tuning("low", (0, 7, 12, 16, 19))
    assert "root_bass" not in counted("C", "00000", low)
    assert counted("C", "x0000", low)["root_bass"] == 1


def test_a_chord_without_a_slash_has_no_wrong_bass_beside_one_that_has():
    rows = (("C/G", "332010"), ("C/G", "x32010"), ("Am", "x02210"))
    guitar = grip_table([(parse_chord(s), read_grip(frets, GUITAR)) for s, frets in rows])
    assert wrong_bass(guitar).tolist() == [0, 1, 0]


def moves(before: str, after: str) -> dict[str, int]:
    terms = move_terms(read_grip(before, UKE), read_grip(after, UKE), HAND)
    assert move_cost(read_grip(before, UKE), read_grip(after, UKE), HAND) == pytest.approx(
        sum(getattr(HAND.weights, name) * number for name, number, _ in terms), abs=0.01
    )
    return {name: number for name, number, _ in terms if number}


@pytest.mark.parametrize(
    ("before", "after", "counts"),
    [
        ("5555", "5555", {}),
        ("5555", "7777", {"semitone": 8, "shift": 2, "slide": 1}),
        # the barre is left for a tip, the ring finger lies down where two strings keep their fret
        ("7877", "6777", {"semitone": 2, "shift": 1, "finger_placed": 2, "finger_swapped": 2}),
        ("0000", "000x", {"semitone": 2}),  # a string that falls silent counts for two
        ("0000", "0003", {"semitone": 3, "finger_placed": 1}),
    ],
)
def test_what_a_move_counts(before, after, counts):
    assert moves(before, after) == counts


def table(*rows: tuple[str, str]):
    return grip_table([(parse_chord(symbol), read_grip(frets, UKE)) for symbol, frets in rows])


def test_keeping_grip_and_chord_is_free_and_a_grip_under_another_chord_costs():
    here, there = table(("C6", "5555"), ("Am7", "5555")), table(("C6", "5555"), ("C6", "7877"))
    costs = change_costs(here, there, HAND)
    forming = sum(cost for *_, cost in grip_terms(parse_chord("C6"), read_grip("5555", UKE), HAND))
    assert costs[0, 0] == 0
    assert costs[1, 0] == round(1000 * (forming + HAND.weights.same_grip))
    assert costs[0, 1] > 0


def test_a_slash_bass_is_no_other_chord_where_no_bass_is_heard():
    assert change_costs(table(("C/G", "5433")), table(("C", "5433")), HAND)[0, 0] == 0


def test_a_grip_is_tried_under_each_of_its_fingerings():
    ways = with_fingerings(read_grip("5433", UKE))
    assert [way.held.by_string(4) for way in ways] == [(3, 2, 1, 1), (4, 2, 1, 1), (4, 3, 1, 1)]
    assert len({str(way) for way in ways}) == 1


def test_a_line_steps_is_held_or_breaks():
    """String 1 from A4: down a semitone, a tone, a third, held, up a semitone, silent."""
    weights = Weights()
    start = table(("C6", "0005"))
    goals = ("0004", "0003", "0002", "0005", "0006", "000x")
    down, up = (
        line_costs(start, table(*(("C", frets) for frets in goals)), (label,), weights)[0, :, 0]
        for label in (LineLabel(3, "down"), LineLabel(3, "up"))
    )
    tone, held, broken = (
        weight_steps(weights, name) for name in ("line_tone", "line_held", "line_broken")
    )
    assert down.tolist() == [0, tone, broken, held, broken, broken]
    assert up.tolist() == [broken, broken, broken, held, 0, broken]


def test_going_over_to_another_line_costs_and_staying_does_not():
    new = weight_steps(Weights(), "line_new")
    assert turn_costs(3, Weights()).tolist() == [[0, new, new], [new, 0, new], [new, new, 0]]
