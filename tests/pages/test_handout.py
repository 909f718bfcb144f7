"""The handout as independent tools see it: pages, words, fonts, paper."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from porchswing.errors import MissingExtraError, OptionError
from porchswing.lesson.makers import make_handout
from porchswing.lesson.source import LessonSource
from porchswing.pages.handout.pdf import handout_pdf
from porchswing.pages.handout.sheet import (
    Sheet,
    SheetBar,
    SheetChange,
    SheetChord,
    SheetLine,
    SheetSection,
    SheetStep,
    SheetStrum,
)

DEMOS = ("lantern_street_stroll", "pickled_lemon_blues", "moth_at_the_window")
HOSTILE = 'Hush #panic() *bold* $x^2$ <a> \\ "quoted" [b] @ref //'

SHEET = Sheet(
    title="A Tune",
    by="",
    facts=("C major",),
    sections=(SheetSection("A", "", (SheetBar((SheetChord("C"),), (SheetChord("C6"),)),)),),
    legend=(),
    line=SheetLine(),
    strum=SheetStrum("four", ("1 2 3 4", "D D D D")),
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
def test_a_demo_fills_at_most_two_pages_with_all_it_should_say(
    demo: str, paper: str, root: Path, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """pdfinfo, pdffonts and pdftotext of Poppler."""
    text = (root / "demos" / f"{demo}.changes").read_text("utf-8")
    path = tmp_path / "sheet.pdf"
    make_handout(LessonSource(text, f"{demo}.changes", demo), paper, [path])
    info = _said(need_program("pdfinfo"), path)
    pages = next(int(row.split()[1]) for row in info.splitlines() if row.startswith("Pages:"))
    assert pages <= 2
    assert ("595.2" if paper == "a4" else "612 x 792") in info
    fonts = _said(need_program("pdffonts"), path).splitlines()[2:]
    assert fonts
    assert all(row[-21:].split()[0] == "yes" for row in fonts), "every font is embedded"
    words = _said(need_program("pdftotext"), path, "-layout")
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
    with pytest.raises(MissingExtraError, match=r"pip install 'porchswing\[lesson\]'"):
        handout_pdf(SHEET)


def test_a_long_tune_gets_a_legend_of_its_grips() -> None:
    bars = " ".join("| C Am | Dm G7 " for _ in range(16)) + "|"
    sections = "\n".join(f"[{name}]\n{bars}" for name in "ABC")
    source = LessonSource(f"title: Long\nkey: C\n{sections}\n", "long.changes", "long")
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four"))
    assert sheet.legend
    assert all(chord.svg for chord in sheet.legend)
    assert not any(c.svg for s in sheet.sections for bar in s.bars for c in bar.swing)
    assert handout_pdf(sheet).startswith(b"%PDF")


def test_every_place_of_a_pattern_bar_has_a_students_words() -> None:
    from porchswing.lesson.handout import BAR_WORDS
    from porchswing.rhythm.patterns import PLACES

    assert tuple(BAR_WORDS) == PLACES


def test_repeats_and_endings_are_said_under_their_bars() -> None:
    text = "title: Twice\nkey: C\n[A]\n| C |: F |1 G7 :|2 C |\n"
    from porchswing.lesson.handout import HandoutSource, handout_sheet

    source = LessonSource(text, "twice.changes", "twice")
    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four"))
    marks = [bar.mark for bar in sheet.sections[0].bars]
    assert not marks[0].startswith("repeat")
    assert marks[1].startswith("repeat from here")
    assert marks[2].startswith("ending 1, back to the repeat, 2 times in all")
    assert marks[3].startswith("ending 2")
