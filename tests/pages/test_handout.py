"""The handout as independent tools see it: pages, words, fonts, paper."""

from __future__ import annotations

import itertools
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from porchswing.errors import MissingExtraError, OptionError
from porchswing.file_formats import NO_TAGS
from porchswing.lesson.makers import make_handout
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.handout.pdf import handout_pdf
from porchswing.pages.handout.printable import NOTICE, printable
from porchswing.pages.handout.sheet import (
    Sheet,
    SheetBar,
    SheetChange,
    SheetChord,
    SheetRow,
    SheetSection,
    SheetShape,
    SheetStep,
    SheetStrum,
)
from porchswing.pages.handout.strum_drawing import strum_svg, strum_words
from porchswing.pages.symbols import SymbolParts
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum

DEMOS = ("lantern_street_stroll", "pickled_lemon_blues", "moth_at_the_window")
SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = 'Hush #panic() *bold* $x^2$ <a> \\ "quoted" [b] @ref //'

BAR = SheetBar((SheetChord(SymbolParts("C")),), (SheetChord(SymbolParts("C", "6")),))
SHEET = Sheet(
    title="A Tune",
    by="",
    facts=("C major",),
    sections=(SheetSection("A", "", (SheetRow((BAR,)),)),),
    shapes=(),
    shapes_note="",
    line_note="",
    strum=SheetStrum("four", ()),
    changes=(SheetChange("tonic sixth", "A", "It rests."),),
    steps=(SheetStep("1′", "Rest."),),
    plan_note="",
    care="Stop when it hurts.",
)


def _said(program: str, path: Path, *options: str) -> str:
    command = [program, *options, str(path)]
    if program.endswith("pdftotext"):
        command.append("-")
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("demo", DEMOS)
def test_a_demo_fills_at_most_three_pages_with_all_it_should_say(
    demo: str, paper: str, root: Path, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """pdfinfo, pdffonts and pdftotext of Poppler."""
    text = (root / "demos" / f"{demo}.changes").read_text("utf-8")
    path = tmp_path / "sheet.pdf"
    make_handout(LessonSource(text, f"{demo}.changes", demo), paper, [path], NO_TAGS)
    info = _said(need_program("pdfinfo"), path)
    pages = next(int(row.split()[1]) for row in info.splitlines() if row.startswith("Pages:"))
    assert pages <= 3, "diagrams are read at arm's length: they are large"
    assert ("595.2" if paper == "a4" else "612 x 792") in info
    fonts = _said(need_program("pdffonts"), path).splitlines()[2:]
    assert fonts
    assert all(row[-21:].split()[0] == "yes" for row in fonts), "every font is embedded"
    words = _said(need_program("pdftotext"), path, "-layout")
    told = re.findall(r"(\d) */ *(\d)\s*\f", words)
    assert told == [(str(number), str(pages)) for number in range(1, pages + 1)]
    for expected in ("Practice plan", "What changed, and why", "Right hand", "One string's line"):
        assert expected in words
    assert "licensed" in words
    title = next(row[7:].strip() for row in text.splitlines() if row.startswith("title:"))
    assert title in words


def test_texts_never_become_markup(tmp_path: Path, need_program: Callable[[str], str]) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(handout_pdf(replace(SHEET, title=HOSTILE, care=HOSTILE)))
    words = " ".join(_said(need_program("pdftotext"), path).split())
    assert words.count("#panic() *bold* $x^2$ <a> \\") == 2


def test_the_same_sheet_is_the_same_bytes() -> None:
    assert handout_pdf(SHEET) == handout_pdf(SHEET)


def test_an_unknown_paper_names_the_known_ones() -> None:
    with pytest.raises(OptionError, match="paper must be one of a4, letter, got 'papyrus'"):
        handout_pdf(SHEET, "papyrus")


def test_without_the_extra_the_message_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(__import__("sys").modules, "typst", None)
    with pytest.raises(MissingExtraError, match=r'extra "lesson".*pip install'):
        handout_pdf(SHEET)


def test_every_shape_is_drawn_once_with_what_it_plays_and_known_ones_are_marked(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    source = LessonSource("title: T\nkey: C\n[A]\n| Am7 | Bm7 | F |\n", "t.changes", "t")
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four"))
    assert len({shape.svg for shape in sheet.shapes}) == len(sheet.shapes)
    grips = {slot.grip for slot in source.voicing.slots}
    assert sum(len(shape.uses) for shape in sheet.shapes) >= len(grips)
    marked = replace(sheet, shapes=tuple(replace(shape, is_known=True) for shape in sheet.shapes))
    words = {}
    for name, each in (("new", sheet), ("known", marked)):
        path = tmp_path / f"{name}.pdf"
        path.write_bytes(handout_pdf(each))
        words[name] = _said(need_program("pdftotext"), path)
    assert "✓" not in words["new"]
    assert words["known"].count("known") == len(sheet.shapes)


def test_a_chord_melody_stands_as_tablature_where_it_is_asked_for(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    text = "title: Sung\nkey: C\n[A]\nplain | C | G7 |\nmelody | E4:2 G4:2 | G4:3 r:1 |\n"
    words = {}
    for asked in (True, False):
        choices = Choices().with_values({"melody_on_top": asked})
        path = tmp_path / f"{asked}.pdf"
        make_handout(LessonSource(text, "t.changes", "t", choices), "a4", [path], NO_TAGS)
        words[asked] = _said(need_program("pdftotext"), path, "-layout")
    assert "Chord melody" in words[True]
    assert re.search(r"^ *A \|-", words[True], re.MULTILINE)
    assert "Chord melody" not in words[False]


def test_a_note_that_falls_stands_lower_on_paper_as_on_the_page() -> None:
    source = LessonSource("title: T\nkey: C\n[A]\n| C7 | F7 | C7 | F7 |\n", "t.changes", "t")
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    strings = {section.name: 2 for section in source.lead.chart.sections}
    made = HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four", strings)
    section = handout_sheet(made).sections[0]
    (row,) = section.rows
    heights = [float(y) for y in re.findall(r'<circle cx="[^"]*" cy="([^"]*)"', row.line)]
    own = [slot for slot in source.voicing.slots if f"[{slot.section}]" == section.name]
    frets = [slot.grip.frets[2] for slot in own if slot.grip]
    assert len(heights) == len(frets)
    for (fret, y), (other, other_y) in itertools.pairwise(zip(frets, heights, strict=True)):
        assert (fret > other) == (y < other_y)
        assert (fret == other) == (y == other_y)


@pytest.mark.parametrize("name", pattern_names("strum"))
def test_every_strum_is_drawn_with_every_stroke(name: str) -> None:
    """Each sounding cell has its arrow, cross or string number; the drawing is valid XML."""
    pattern = load_strum(name)
    for bar in pattern.bars:
        root = ElementTree.fromstring(strum_svg(bar, pattern.meter))
        arrows = [p for p in root.iter(f"{SVG}path") if p.get("d", "").endswith("z")]
        kinds = [cell.kind for cell in bar.cells]
        assert len(arrows) == sum(kind not in ("chuck", "pinch", "rest") for kind in kinds)
        width = float(root.get("viewBox", "").split()[2])
        for arrow in arrows:
            x = float(re.match(r"M([\d.]+)", arrow.get("d", ""))[1])  # type: ignore[index]
            assert 0 < x < width
    assert strum_words(pattern.bars).startswith("arrows point")


def test_a_down_stroke_points_down_and_an_up_stroke_up() -> None:
    pattern = load_strum("shuffle")
    (bar, *_) = pattern.bars
    heads = re.findall(r'd="M[\d.]+ [\d.]+l-4.5 (-?)8l9 0z"', strum_svg(bar, pattern.meter))
    strokes = [c.direction for c in bar.cells if c.kind not in ("chuck", "pinch", "rest")]
    assert ["down" if minus else "up" for minus in heads] == strokes


def test_what_the_fonts_lack_is_replaced_and_said(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """As pdftotext reads it: Greek and Cyrillic print, an emoji becomes a sign with a notice."""
    title = "Прогулка 🎈 Ωδή"
    path = tmp_path / "sheet.pdf"
    path.write_bytes(handout_pdf(replace(SHEET, title=title)))
    words = _said(need_program("pdftotext"), path)
    assert "Прогулка ▯ Ωδή" in words
    assert NOTICE in words
    path.write_bytes(handout_pdf(SHEET))
    assert NOTICE not in _said(need_program("pdftotext"), path)
    assert printable({"a": ["👨‍👩"]}) == {"a": ["▯▯"]}


def test_a_long_title_and_long_symbols_stay_on_the_paper(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """pdftotext's word boxes: nothing ends behind the right margin."""
    long = SymbolParts("F♯", "maj13(♯11)", "/C♯")
    bar = SheetBar((SheetChord(long),) * 4, (SheetChord(long, svg="", frets="10-11-12-11"),) * 4)
    sheet = replace(
        SHEET,
        title="A Very Long Title That Nobody Would Ever Give To A Tune On A Porch " * 2,
        sections=(SheetSection("A", "", (SheetRow((bar,) * 4),)),),
        shapes=(SheetShape("<svg xmlns='http://www.w3.org/2000/svg'/>", "a" * 30, ("C" * 40,)),),
    )
    path = tmp_path / "sheet.pdf"
    path.write_bytes(handout_pdf(sheet))
    boxes = _said(need_program("pdftotext"), path, "-bbox")
    right = [float(x) for x in re.findall(r'xMax="([\d.]+)"', boxes)]
    assert right
    assert max(right) <= 595.3 - 15 / 25.4 * 72 + 1


def test_every_place_of_a_pattern_bar_has_a_students_words() -> None:
    from porchswing.lesson.handout import BAR_WORDS
    from porchswing.rhythm.patterns import PLACES

    assert tuple(BAR_WORDS) == PLACES


def test_repeats_and_endings_are_said_under_their_bars() -> None:
    text = "title: Twice\nkey: C\n[A]\n| C |: F |1 G7 :|2 C |\n"
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    source = LessonSource(text, "twice.changes", "twice")
    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four"))
    marks = [bar.mark for row in sheet.sections[0].rows for bar in row.bars]
    assert not marks[0].startswith("repeat")
    assert marks[1].startswith("repeat from here")
    assert marks[2].startswith("ending 1, back to the repeat, 2 times in all")
    assert marks[3].startswith("ending 2")
