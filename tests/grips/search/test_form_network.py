"""A chord heard again transposed has its old shape, shifted as the roots are, or costs."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.form_network import _unpaired, passages, read_form
from porchswing.grips.search.table import grip_table
from porchswing.grips.shapes.tunings import tuning
from porchswing.theory.symbols import parse_chord

UKE = tuning("gCEA")


@pytest.mark.parametrize(
    ("first", "again", "count"),
    [
        (("C6", "5555"), ("D6", "7777"), 0),
        (("C6", "12-12-12-12"), ("D6", "2222"), 0),  # an octave lower
        (("C6", "5555"), ("D6", "5555"), 1),  # the roots have moved, the shape has not
        (("C6", "5555"), ("D6", "7698"), 1),
        (("C6", "5555"), ("Bm7", "7777"), 1),  # another kind of chord
        (("F", "2010"), ("G", "0232"), 1),  # open strings stay where they are
        (("C6", "0000"), ("C6", "0000"), 1),
    ],
)
def test_a_shape_is_paired_where_it_moves_as_the_roots_do(first, again, count):
    before, after = (
        grip_table([(parse_chord(symbol), read_grip(frets, UKE))])
        for symbol, frets in (first, again)
    )
    assert _unpaired(before, after).tolist() == [[count]]


@pytest.mark.parametrize("form", ["A B", "B A"])
def test_a_chord_that_goes_on_into_another_section_is_gripped_there_anew(form):
    """Each section keeps its own grips, whatever comes before it and however it is called."""
    chart = parse_chart(f"form: {form}\n[A]\n| C6 | C6 |\n[B]\n| C6 | C6 |")
    runs = read_form(unroll(chart), UKE).runs
    assert [{key[0] for key in run.keys} for run in runs] == [{name} for name in form.split()]


@pytest.mark.parametrize(("window", "runs"), [("frets: 5-9\n", 1), ("frets: 2-6\n", 2)])
def test_a_last_time_under_another_window_of_frets_is_no_repeat(window, runs):
    text = f"form: A A-last\n[A]\nfrets: 5-9\n| C6 |\n[A-last]\n{window}| C6 |"
    assert len(read_form(unroll(parse_chart(text)), UKE).runs) == runs


@pytest.mark.parametrize(
    ("bars", "runs"),
    [("C6@5555 | C6@5555", 1), ("C6@5555 | C6", 1), ("C6@5555 | C6@0000", 2), ("C6 | C6@0000", 2)],
)
def test_a_chord_goes_on_where_its_lock_is_the_same_or_left_out(bars, runs):
    assert len(read_form(unroll(parse_chart(f"[A]\n| {bars} |")), UKE).runs) == runs


def test_a_passage_goes_straight_on_and_a_held_chord_is_in_it_once():
    form = read_form(unroll(parse_chart("[A]\n| C6 | C6 | A7 | Dm7 |")), UKE)
    assert form.order == [0, 0, 1, 2]
    assert passages(form, form.changes) == {(0, 1, 2): 1}
    assert passages(form, [(0, 1)]) == {(0, 1): 1, (2,): 1}
