"""Grip diagrams: what is drawn is what is gripped, in any page and any light."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.drawings.diagram import Window, beside, grip_svg, grip_text
from porchswing.grips.drawings.line_strip import BEAD_RADIUS, drawings, strip_svg
from porchswing.grips.drawings.lines import best_line
from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.fingers import fingering
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.tunings import tuning

UKE, GUITAR = tuning("gCEA"), tuning("guitar")
SVG = "{http://www.w3.org/2000/svg}"
BRIDGE = voice(parse_chart("[B]\n| E7 | A9 | D7 | G9 |"))
HOUSE_ATTRIBUTES = {"style", "class", "id"}
"""Attributes a strict page forbids: presentation attributes alone may style."""


def parsed(svg):
    return ET.fromstring(svg)


def dots(root):
    """Filled circles by their x, and their y."""
    found = [e for e in root.iter(f"{SVG}circle") if e.get("fill") != "none"]
    return [(float(e.get("cx")), float(e.get("cy"))) for e in found]


@pytest.mark.parametrize(
    ("frets", "rows"),
    [
        ("7877", [" 7 ●━┿━●━●", " 8 │ ● │ │", " 9 │ │ │ │", "10 │ │ │ │", "   1 2 1 1"]),
        ("0232", ["   ○", " 1 │ │ │ │", " 2 │ ● │ ●", " 3 │ │ ● │", " 4 │ │ │ │", "     1 3 2"]),
        ("0000", ["   ○ ○ ○ ○", " 1 │ │ │ │", " 2 │ │ │ │", " 3 │ │ │ │", " 4 │ │ │ │", ""]),
    ],
)
def test_text_diagrams(frets, rows):
    drawn = [row.rstrip() for row in grip_text(read_grip(frets, UKE))]
    assert [row for row in drawn if row] == [row for row in rows if row]


def test_muted_strings_in_text():
    assert grip_text(read_grip("x32010", GUITAR))[0].rstrip() == "   ×     ○   ○"


def test_blocks_stand_beside_each_other_and_wrap():
    block = grip_text(read_grip("7877", UKE), "E7")
    rows = beside([block] * 5, width=40)
    assert all(len(row) <= 40 for row in rows)
    assert sum("E7" in row for row in rows) == 2
    assert beside([], 40) == ()


@given(st.lists(st.none() | st.integers(0, 15), min_size=3, max_size=6).map(tuple))
@settings(deadline=None)
def test_every_finger_is_drawn_where_it_presses(frets):
    open_midi = (60, 64, 67, 70, 74, 77)[: len(frets)]
    from porchswing.grips.shapes.model import Tuning

    grip = Grip(frets, Tuning("test", open_midi))
    root = parsed(grip_svg(grip, "X<&>"))
    found = dots(root)
    assert len(found) == sum(bool(fret) for fret in frets)
    xs = sorted({x for x, _ in found})
    pressed = [index for index, fret in enumerate(frets) if fret]
    assert len(xs) == len(pressed)
    by_height = sorted(found, key=lambda dot: dot[0])
    heights = [y for _, y in by_height]
    wanted = [frets[index] for index in pressed]
    for (y, fret), (other_y, other) in zip(
        zip(heights, wanted, strict=True), zip(heights[1:], wanted[1:], strict=True), strict=False
    ):
        assert (y < other_y) == (fret < other)
    width, height = (float(n) for n in root.get("viewBox").split()[2:])
    assert all(0 < x < width and 0 < y < height for x, y in found)
    for element in root.iter():
        assert not HOUSE_ATTRIBUTES & set(element.attrib)


def test_finger_numbers_and_fret_stand_as_text():
    root = parsed(grip_svg(read_grip("7877", UKE), "E7"))
    texts = [element.text for element in root.iter(f"{SVG}text")]
    assert texts == ["E7", "7", "1", "2", "1", "1"]
    label = root.get("aria-label")
    assert label.startswith("E7, grip 7877: first finger across all strings at the seventh fret")
    assert fingering((7, 8, 7, 7)).by_string(4) == (1, 2, 1, 1)


def test_only_the_pages_own_ink_is_used():
    svg = strip_svg(BRIDGE, "B", best_line(BRIDGE, "B"))
    inks = set(re.findall(r'(?:fill|stroke|color)="([^"]+)"', svg))
    assert inks == {"currentColor", "none"}


def test_text_is_legible_at_two_centimetres():
    """At 2 cm width the smallest letters are 2.8 mm (8 pt) tall: print's usual smallest is 6 pt."""
    root = parsed(grip_svg(read_grip("7877", UKE), "E7"))
    mm = 20 / float(root.get("viewBox").split()[2])
    sizes = [float(element.get("font-size")) * mm for element in root.iter(f"{SVG}text")]
    assert min(sizes) >= 6 * 25.4 / 72
    assert min(sizes) > 2.8


def beads(root) -> list[tuple[float, float]]:
    circles = (c for c in root.iter(f"{SVG}circle") if float(c.get("r")) == BEAD_RADIUS)
    return [(float(c.get("cx")), float(c.get("cy"))) for c in circles]


def test_a_line_that_falls_is_drawn_falling():
    line = best_line(BRIDGE, "B")
    assert line.direction == "down"
    root = parsed(strip_svg(BRIDGE, "B", line))
    points = beads(root)
    assert len(points) == 4
    assert [y for _, y in points] == sorted(y for _, y in points), "lower and lower"
    assert [x for x, _ in points] == sorted(x for x, _ in points)
    assert len(list(root.iter(f"{SVG}line"))) > 3
    assert "string 4 falls by semitones" in root.get("aria-label")


def test_the_strip_breaks_into_rows_and_so_does_its_line():
    chart = parse_chart("[A]\n| E7 | A9 | D7 | G9 | C7 | F9 |")
    voicing = voice(chart)
    root = parsed(strip_svg(voicing, "A", best_line(voicing, "A")))
    assert len({round(y) for _, y in beads(root)}) > 2
    titles = [e for e in root.iter(f"{SVG}text") if float(e.get("font-size")) > 12]
    assert len({e.get("y") for e in titles if e.get("font-weight") == "bold"}) == 2


def test_a_picture_that_stands_by_itself_has_a_plate_and_one_ink():
    """Contrast by WCAG 2's formula: readable whether its page is light or dark."""
    svg = grip_svg(read_grip("7877", UKE), "E7", has_plate=True)
    root = parsed(svg)
    plate = root.find(f"{SVG}rect").get("fill")
    assert contrast(plate, root.get("color")) > 12
    assert root.find(f"{SVG}rect").get("width") == root.get("viewBox").split()[2]


def contrast(one: str, other: str) -> float:
    def light(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_windows_show_all_and_no_more_than_needed():
    assert Window.around([read_grip("0003", UKE)]) == Window(1, 4)
    assert Window.around([read_grip("9-10-10-10", UKE)]) == Window(9, 4)
    assert Window.around([Grip((5, 5, 5, 10), UKE)]) == Window(5, 6)
    assert Window.around([]) == Window(1, 4)
    assert Window.around([read_grip("3434", UKE)]) == Window(3, 4)
    assert Window.around([read_grip("2223", UKE)]).first == 1
    assert Window.around([read_grip("0034", UKE)]).first == 1


def test_drawings_have_one_file_a_grip_and_one_a_section():
    chart = parse_chart("[B]\n| E7 | A9 | D7 | G9 |")
    files = drawings(BRIDGE, unroll(chart))
    assert set(files) == {
        "section_B.svg", "E7_7877.svg", "A9_6777.svg", "D7_5655.svg", "G9_4555.svg"
    }  # fmt: skip
    chart = parse_chart("[Trio-2]\n| F#m7b5 | C/G |")
    odd = drawings(voice(chart), unroll(chart))
    assert all(re.fullmatch(r"[\w-]+\.svg", name) for name in odd)


def test_a_fret_of_two_digits_stays_inside_its_drawing() -> None:
    """DejaVu Sans, the widest usual font, sets a digit 0.636 em wide (its hmtx table)."""
    for frets in ("12-12-12-12", "10-12-11-12"):
        root = parsed(grip_svg(read_grip(frets, UKE)))
        (number,) = [e for e in root.iter(f"{SVG}text") if e.get("text-anchor") == "end"]
        width = 0.636 * float(number.get("font-size", "")) * len(number.text or "")
        assert float(number.get("x", "")) - width >= 0
