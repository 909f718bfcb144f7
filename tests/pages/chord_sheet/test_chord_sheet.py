"""A plain chord sheet: every bar is played as often, and where, as the chart says."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.pages.chord_sheet.chord_sheet import chord_sheet, sheet_pdf, sheet_text
from support.sung_tunes import PORCH_LIGHT, SUNG

CHART = """title: Gate
key: F
form: A B A
intro: In
ending: Out
[In]
| C7 |
[A]
|: F Dm | Gm C7 |1 F | Gm C7 :|2 F F7 | F |
[B]
|: Bb | Bbm :|x3
[Out]
| F |
"""


def test_repeats_and_endings_stand_on_the_sheet() -> None:
    text = sheet_text(chord_sheet(parse_chart(CHART), "plain"))
    assert "form: In A B A Out" in text
    assert text[text.index("[A]") :].startswith(
        "[A]\n"
        "|:   F Dm | Gm C7 | 1. F | Gm C7 :|\n"
        "| 2. F F7 | F     |\n\n"
        "[B]\n"
        "|:   Bb | Bbm :|x3 |\n"
    )


def test_the_swing_lane_has_the_repeats_of_the_plain_one() -> None:
    text = sheet_text(chord_sheet(reharmonize(parse_chart(CHART)), "swing"))
    signs = [word for word in text.split() if word in {"|:", "1.", "2.", ":|", ":|x3"}]
    assert signs[:4] == ["|:", "1.", ":|", "2."]
    assert text.count("F6") > 2


def test_a_tune_in_file_order_has_no_line_of_its_form() -> None:
    assert "form" not in sheet_text(chord_sheet(parse_chart("[A]\n| F |\n[B]\n| C |\n"), "plain"))


def test_the_last_time_has_a_heading_of_its_own_and_the_form_the_usual_name() -> None:
    text = "form: A B A-last\n[A]\n| F |\n[B]\n| Bb |\n[A-last]\n| C7 |\n"
    shown = sheet_text(chord_sheet(parse_chart(text), "plain"))
    assert "form: A B A\n" in shown
    assert "[A, the last time]\n| C7 |" in shown
    swung = sheet_text(chord_sheet(reharmonize(parse_chart("[A]\n| C | G7 |\n")), "swing"))
    assert "form" not in swung


def test_words_stand_under_their_bars_verse_by_verse() -> None:
    sheet = chord_sheet(parse_chart(PORCH_LIGHT), "plain")
    text = sheet_text(sheet)
    assert text[text.index("[A]") :].startswith(
        "[A]\n"
        "| F              | Dm          | Gm C7 | Bb C7 |\n"
        "  Lantern street   I'm walking   home    over\n"
        "  Moth up high     come to the   light   now\n"
    )


def test_a_pdf_prints_words_of_any_script_it_has_letters_for(
    need_module: Callable[[str], None], need_program: Callable[[str], str], tmp_path: Path
) -> None:
    need_module("typst")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(chord_sheet(parse_chart(SUNG["rain gauge"]), "plain")))
    command = [need_program("pdftotext"), str(path), "-"]
    shown = subprocess.run(command, capture_output=True, check=True)
    words = shown.stdout.decode("utf-8")
    assert {"дождь", "дёт"} <= set(words.split())
    assert "▯" in words, "what the sheet's fonts lack is replaced by a sign"
    assert "sign this sheet's fonts do not have" in " ".join(words.split())
    path.write_bytes(sheet_pdf(chord_sheet(parse_chart(PORCH_LIGHT), "plain")))
    shown = subprocess.run(command, capture_output=True, check=True)
    assert "fonts do not have" not in shown.stdout.decode("utf-8")


def test_words_and_chords_stand_at_their_beats(
    need_module: Callable[[str], None], need_program: Callable[[str], str], tmp_path: Path
) -> None:
    """Poppler's boxes: a syllable begins where the chord of its beat does, in both verses."""
    need_module("typst")
    chart = parse_chart(
        "[A]\n|: F C7 | Bb / / F | F | F :|\n"
        "words | one two three four | five _ _ six | a | b |\n"
        "words 2 | * * late _ | * * * end | c | d |\n"
    )
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(chord_sheet(chart, "plain")))
    command = [need_program("pdftotext"), "-bbox", str(path), "-"]
    shown = subprocess.run(command, capture_output=True, check=True).stdout.decode("utf-8")
    starts = {word: float(x) for x, word in re.findall(r'xMin="([\d.]+)".*>([^<]+)</word>', shown)}
    assert starts["three"] == pytest.approx(starts["C7"], abs=0.5)
    assert starts["late"] == pytest.approx(starts["C7"], abs=0.5)
    assert starts["five"] == pytest.approx(starts["B♭"], abs=0.5)
    assert starts["six"] == pytest.approx(starts["end"], abs=0.5)
    quarter = starts["four"] - starts["three"]
    assert starts["two"] - starts["one"] == pytest.approx(quarter, abs=0.5)
    assert starts["six"] - starts["five"] == pytest.approx(3 * quarter, abs=0.5)
