"""A chord heard again transposed has its old shape, shifted as the roots are, or costs."""

from __future__ import annotations

import pytest

from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.form_network import _unpaired
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
