"""Grips as sentences, and drawings for the left hand."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.drawings.diagram import grip_svg, grip_text
from porchswing.grips.drawings.spoken import spoken, spoken_lines
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.tunings import tuning

UKE = tuning("gCEA")
LEFT = replace(UKE, is_left_handed=True)


@pytest.mark.parametrize(
    ("frets", "words"),
    [
        ((0, 0, 0, 0), "all strings open"),
        ((2, 0, 1, 0), "first finger on string 2 at the first fret; second finger on string 4 at "
         "the second fret; strings 3 and 1 open"),
        ((5, 4, 3, 3), "first finger across strings 2 to 1 at the third fret; second finger on "
         "string 3 at the fourth fret; third finger on string 4 at the fifth fret"),
        ((None, 4, 3, 3), "first finger across strings 2 to 1 at the third fret; second finger "
         "on string 3 at the fourth fret; string 4 muted"),
    ],
)  # fmt: skip
def test_a_grip_is_said_finger_by_finger(frets: tuple[int | None, ...], words: str) -> None:
    assert spoken(Grip(frets, UKE)) == words
    assert f"{words}" in grip_svg(Grip(frets, UKE), "C")


def test_a_tune_is_said_in_order() -> None:
    voicing = voice(parse_chart("[A]\n| C | F / C N.C. |\n"), lane="plain")
    lines = list(spoken_lines(voicing))
    assert lines[0] == "Section A."
    assert lines[1].startswith("Bar 1: C, ")
    assert lines[-2:] == ["Bar 2, beat 3: C, as before.", "Bar 2, beat 4: silence."]


def xs(svg: str) -> list[float]:
    """Return where circles and texts stand, with the edge of the drawing."""
    return [float(x) for x in re.findall(r'<(?:circle cx|text x)="([\d.]+)"', svg)]


@pytest.mark.parametrize("frets", [(5, 4, 3, 3), (0, 2, 0, 1), (9, 10, 10, 12), (None, 2, 3, 2)])
def test_left_handed_drawings_are_exact_mirrors_and_digits_are_not(
    frets: tuple[int | None, ...],
) -> None:
    right, left = grip_svg(Grip(frets, UKE)), grip_svg(Grip(frets, LEFT))
    width = float(re.search(r'viewBox="0 0 ([\d.]+)', right)[1])  # type: ignore[index]
    assert [width - x for x in xs(right)] == pytest.approx(xs(left))
    digits = r">(\d+)</text>"
    assert re.findall(digits, right) == re.findall(digits, left)
    assert "scale(-1" not in left


def test_left_handed_text_is_turned_round() -> None:
    right, left = grip_text(Grip((5, 4, 3, 3), UKE)), grip_text(Grip((5, 4, 3, 3), LEFT))
    for one, other in zip(right, left, strict=True):
        assert one[:3] == other[:3]
        assert one[3:10] == other[3:10][::-1]
