"""``porchswing export`` and ``porchswing import`` from the outside."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from porchswing.chart.language.reader import read_chart
from porchswing.cli.main import group


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(group, [str(word) for word in words])


@pytest.fixture
def stroll(root: Path) -> Path:
    return root / "demos" / "moth_at_the_window.changes"


def test_out_and_back(need_module, stroll: Path, tmp_path: Path) -> None:
    need_module("music21")
    sheet, back = tmp_path / "deep" / "moth.musicxml", tmp_path / "back.changes"
    made = run("export", stroll, "-o", sheet, "--key", "Bb", "--json")
    assert made.exit_code == 0, made.output
    assert json.loads(made.output)["files"] == [str(sheet)]
    found = run("import", sheet, "-o", back, "--json")
    assert found.exit_code == 0, found.output
    facts = json.loads(found.output)
    assert facts["files"] == [str(back)]
    assert any("Line on string" in line for line in facts["left_out"])
    chart = read_chart(back)
    assert (chart.title, str(chart.key)) == ("Moth at the Window", "Bb")
    assert chart.sections[0].swing is not None


def test_bars_of_one_section(stroll: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "part.musicxml"
    made = run("export", stroll, "-o", sheet, "--section", "B", "--bars", "1-4", "--line", "1")
    assert made.exit_code == 0, made.output
    text = sheet.read_text("utf-8")
    assert text.count('<measure number="4"') == 4  # two lanes, the line, the melody
    assert '<measure number="5"' not in text
    assert "Line on string 1" in text
    assert made.output == f"wrote {sheet}\n"


def test_what_was_left_out_is_told(need_module, tmp_path: Path) -> None:
    need_module("music21")
    tune = tmp_path / "tune.abc"
    tune.write_text('X:1\nM:4/4\nL:1/4\nK:C\n"C"c4 | "softly"d4 |\n')
    found = run("import", tune, "-o", tmp_path / "tune.changes")
    assert found.exit_code == 0
    assert "not carried over:\n  the text 'softly' is no chord symbol" in found.output
    quiet = run("import", tune, "-o", tmp_path / "tune.changes", "-q")
    assert (quiet.exit_code, quiet.output) == (0, "")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("export", "{chart}", "-o", "{tmp}/x.pdf"), ".musicxml or .xml"),
        (("export", "{tmp}/none.changes", "-o", "{tmp}/x.musicxml"), "cannot read this chart"),
        (("export", "{chart}", "-o", "{tmp}/x.musicxml", "--section", "Z"), "unknown section 'Z'"),
        (
            ("import", "{chart}", "-o", "{tmp}/x.changes"),
            "moth_at_the_window.changes is a chart already",
        ),
        (("import", "{tmp}/none.mxl", "-o", "{tmp}/x.changes"), "cannot read"),
    ],
)
def test_mistakes_are_one_paragraph(
    stroll: Path, tmp_path: Path, words: tuple[str, ...], message: str
) -> None:
    made = run(*(word.format(chart=stroll, tmp=tmp_path) for word in words))
    assert made.exit_code == 1
    assert message in made.output
    assert "Traceback" not in made.output
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_somebody_else_stays(stroll: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "mine.musicxml"
    sheet.write_text("my own")
    made = run("export", stroll, "-o", sheet)
    assert made.exit_code == 1
    assert sheet.read_text() == "my own"
    assert run("export", stroll, "-o", sheet, "--force").exit_code == 0
    assert sheet.read_text("utf-8").startswith("<?xml")
