"""The shapes of a tune: counted, named, known or new."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.cli.main import group
from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.voice import shape_curve, voice
from porchswing.grips.shapes.hand import read_known_shape
from porchswing.grips.shapes.model import shape_of
from porchswing.grips.shapes.tunings import tuning
from porchswing.grips.vocabulary.tune_shapes import shape_name, tune_shapes
from porchswing.theory.symbols import parse_chord

UKE = tuning("gCEA")


@pytest.mark.parametrize(
    ("symbol", "frets", "name"),
    [
        ("E7", "7877", "seventh, root on string 1"),
        ("A9", "6777", "ninth, root left to the bass"),
        ("F6", "5555", "sixth, root on string 3"),
        ("C", "5433", "major, root on strings 4 and 1"),
        ("Cdim7", "5656", "diminished, root on string 4"),
        ("Dm7", "2213", "minor seventh, root on string 3"),
        ("C13#11", "3435", "13#11, root left to the bass"),
    ],
)
def test_a_shape_is_named_by_what_it_makes_with_its_root(symbol, frets, name):
    assert shape_name(parse_chord(symbol), read_grip(frets, UKE)) == name


def test_every_grip_is_counted_under_its_shape_once():
    voicing = voice(parse_chart("[A]\n| E7 | % | A9 | D7 | G9 |"))
    first, second = tune_shapes(voicing)
    assert [(str(use.chord), use.fret) for use in first.uses] == [("E7", 7), ("D7", 5)]
    assert second.frets == (4, 6)
    assert not first.is_known
    hand = replace(voicing.hand, known=(read_known_shape("2322"),))
    assert [each.is_known for each in tune_shapes(replace(voicing, hand=hand))] == [True, False]


def test_an_open_grip_is_a_shape_tied_to_its_frets():
    shape = shape_of(read_grip("0003", UKE))
    assert not shape.is_movable
    assert shape.frets == (0, 0, 0, 3)
    assert shape_of(read_grip("5433", UKE)).frets == (2, 1, 0, 0)


def test_the_curve_rises_as_shapes_get_fewer(root):
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    curve = shape_curve(chart, tries=30)
    assert [point.shapes for point in curve] == sorted({point.shapes for point in curve})
    costs = [point.voicing.cost for point in curve]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == voice(chart).cost
    assert curve[-1].voicing.is_proven
    for point in curve:
        assert len(tune_shapes(point.voicing)) == point.shapes


def test_the_command_shows_shapes_and_curve(root):
    path = str(root / "demos" / "moth_at_the_window.changes")
    result = CliRunner().invoke(group, ["grips", path, "--shapes", "--json"])
    assert result.exit_code == 0, result.output
    facts = json.loads(result.stdout)
    assert {"name", "frets", "used"} <= facts["shapes"][0].keys()
    assert {"shapes", "cost"} <= facts["curve"][0].keys()
    assert len(facts["shapes"]) == facts["curve"][-1]["shapes"]
    text = CliRunner().invoke(group, ["grips", path, "--shapes"]).output
    assert "fewer shapes, and what they cost" in text
