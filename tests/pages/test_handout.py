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

from porchswing.chart.sung_text import BeatCell
from porchswing.errors import MissingExtraError, OptionError
from porchswing.file_formats import NO_TAGS
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.tunings import tuning
from porchswing.lesson.lesson_job import make_handout
from porchswing.lesson.practice_plan import CARE
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.handout.sheet import (
    Sheet,
    SheetBar,
    SheetChange,
    SheetChord,
    SheetRow,
    SheetSection,
    SheetShape,
    SheetStrum,
    handout_pdf,
)
from porchswing.pages.handout.strum_drawing import strum_svg, strum_words
from porchswing.pages.symbols import SymbolParts
from porchswing.pages.typesetting import NOTICE, printable
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
    steps=(("1′", "Rest."),),
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


def test_the_words_of_a_row_are_on_one_line(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """Poppler's boxes: also under a grip that goes on and is not drawn again."""
    drawn = SheetChord(
        SymbolParts("C", "6"), svg=grip_svg(Grip((5, 5, 5, 5), tuning("gCEA"))), frets="5555"
    )
    bars = tuple(
        SheetBar(BAR.plain, (chord,), verses=((BeatCell(word, 4),),))
        for chord, word in ((drawn, "porridge"), (BAR.swing[0], "kettle"))
    )
    section = SheetSection("A", "", (SheetRow(bars),))
    path = tmp_path / "sheet.pdf"
    path.write_bytes(handout_pdf(replace(SHEET, sections=(section,))))
    shown = _said(need_program("pdftotext"), path, "-bbox")
    tops = {word: float(y) for y, word in re.findall(r'yMin="([\d.]+)".*>([^<]+)</word>', shown)}
    assert tops["kettle"] == pytest.approx(tops["porridge"], abs=0.1)


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


def test_tablature_is_headed_and_spelled_as_the_rest_of_the_sheet(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    text = (
        "title: Sung\nkey: Bb\nform: A A-last\n[A]\nplain | Bb | F7 |\n"
        "melody | D4:2 F4:2 | F4:3 r:1 |\n"
        "[A-last]\nplain | Bb | Bb |\nmelody | D4:2 F4:2 | F4:3 r:1 |\n"
    )
    choices = Choices().with_values({"melody_on_top": True, "lane": "plain"})
    path = tmp_path / "sheet.pdf"
    make_handout(LessonSource(text, "t.changes", "t", choices), "a4", [path], NO_TAGS)
    words = _said(need_program("pdftotext"), path, "-layout").partition("Chord melody")[2]
    tab = words.partition("The shapes")[0]
    assert "[A, the last time]" in tab
    assert "A-last" not in tab
    assert "B♭" in tab
    assert "Bb" not in tab


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


def _pages_said(program: str, path: Path) -> list[str]:
    return [" ".join(page.split()) for page in _said(program, path).split("\f")]


def test_the_cautions_are_never_parted_by_a_pages_end(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """As pdftotext reads it, wherever the page ends: the box moves on as a whole."""
    path = tmp_path / "sheet.pdf"
    full = replace(SHEET, care=CARE, changes=SHEET.changes * 24)
    pages = set()
    for count in range(44, 56):
        path.write_bytes(handout_pdf(replace(full, steps=SHEET.steps * count)))
        shown = _pages_said(need_program("pdftotext"), path)
        where = [number for number, page in enumerate(shown) if CARE in page]
        assert len(where) == 1, count
        pages.update(where)
    assert pages == {0, 1}, "the page's end passed through the box"


def test_a_title_beside_wide_facts_takes_the_whole_width(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """pdftotext's word boxes: a title of twenty words stands in a few lines, not twenty."""
    title = " ".join(f"word{number}" for number in range(20))
    path = tmp_path / "sheet.pdf"
    path.write_bytes(handout_pdf(replace(SHEET, title=title, facts=("form " + "Verse " * 16,))))
    boxes = _said(need_program("pdftotext"), path, "-bbox")
    lines = set(re.findall(r'yMin="([\d.]+)"[^>]*>word\d+<', boxes))
    assert 1 <= len(lines) <= 3


def _sheet_of(text: str, strings: dict[str, int] | None = None) -> Sheet:
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    source = LessonSource(text, "t.changes", "t")
    made = HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four", strings or {})
    return handout_sheet(made)


def test_a_short_chord_has_room_for_its_grip_and_a_crowded_bar_a_row_of_two() -> None:
    waltz = _sheet_of("title: T\nkey: G\nmeter: 3/4\n[A]\n| G / D7 | G |\n")
    (row,) = waltz.sections[0].rows
    assert row.width == 4
    assert [bool(chord.svg) for chord in row.bars[0].swing] == [True, True]
    assert all(chord.share >= 0.45 for chord in row.bars[0].swing)
    crowded = _sheet_of("title: T\nkey: C\n[A]\n| C A7 Dm7 G7 | C | F | C | F | F | C | C |\n")
    assert [len(row.bars) for row in crowded.sections[0].rows] == [2, 2, 4]
    assert [row.width for row in crowded.sections[0].rows] == [2, 2, 4]


def test_each_note_of_the_line_stands_under_the_middle_of_its_grip() -> None:
    text = "title: T\nkey: G\nmeter: 3/4\n[A]\n| G / D7 | G | C | G |\n"
    (row,) = _sheet_of(text, {"A": 2}).sections[0].rows
    found = [float(x) for x in re.findall(r'<circle cx="([^"]*)"', row.line)]
    middles = []
    for number, bar in enumerate(row.bars):
        before = 0.0
        for chord in bar.swing:
            middles.append((number + before + chord.share / 2) / 4 * 560)
            before += chord.share
    assert found == pytest.approx(middles, abs=0.01)


def test_the_words_of_the_line_are_about_the_string_that_is_drawn(root: Path) -> None:
    """The demo asks for string 2 in its bridge; string 3 carries a longer line there."""
    text = (root / "demos" / "lantern_street_stroll.changes").read_text("utf-8")
    sheet = _sheet_of(text, {"B": 2})
    assert "[B] string 2 falls by semitones, B♭ to G" in sheet.line_note
    (bridge,) = [section for section in sheet.sections if section.name == "[B]"]
    assert bridge.note.endswith("the line below is string 2")


def test_a_shape_held_by_several_fingerings_is_drawn_once(root: Path) -> None:
    text = (root / "demos" / "pickled_lemon_blues.changes").read_text("utf-8")
    sheet = _sheet_of(text)
    drawn = [re.sub(r'<text[^>]*y="9\d.*', "", shape.svg) for shape in sheet.shapes]
    assert len(set(drawn)) == len(drawn)
    (first, *_) = sheet.shapes
    assert first.uses[0] == "B♭9 7"
    assert first.fingers


def test_a_swaps_places_name_each_section_once(root: Path) -> None:
    text = (root / "demos" / "pickled_lemon_blues.changes").read_text("utf-8")
    where = {change.name: change.where for change in _sheet_of(text).changes}
    assert re.search(r", \[Blues\] bars \d+, \d+, \d+, and \d+ more$", where["dominant ninth"])


def test_lines_are_named_without_double_flats() -> None:
    """An Abdim7 holds what theory spells G double flat; a player reads F."""
    sheet = _sheet_of("title: T\nkey: Gb\n[A]\n| Abdim7 | Gb |\n", {"A": 1})
    for string in (1, 2, 3, 4):
        sheet = _sheet_of("title: T\nkey: Gb\n[A]\n| Abdim7 | Gb |\n", {"A": string})
        (row,) = sheet.sections[0].rows
        assert "♭♭" not in row.line
