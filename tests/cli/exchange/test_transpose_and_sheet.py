"""``transpose`` and ``sheet``, to files and through pipes."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart
from porchswing.cli.main import group

CHART = "# mine\ntitle: Two <b>\nkey: F\nform: A x2\n[A]\n| F Dm7 | Gm7 C7 / / | % | N.C. | F |\n"


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "two.changes"
    path.write_text(CHART, "utf-8")
    return path


def run(*words: object, given: str | None = None) -> str:
    result = CliRunner().invoke(group, [str(word) for word in words], input=given)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_transpose_to_standard_output_and_to_a_file(chart: Path, tmp_path: Path) -> None:
    text = run("transpose", chart, "Bb")
    assert text.startswith("# mine\ntitle: Two <b>\nkey:    Bb\n")
    assert "| Bb Gm7 | Cm7 F7 / / |" in text
    out = tmp_path / "moved.changes"
    assert run("transpose", "-", "Bb", "-o", out, given=CHART) == f"wrote {out}\n"
    assert out.read_text("utf-8") == text
    facts = json.loads(run("transpose", chart, "Bb", "--json"))
    assert (facts["key"], facts["files"], facts["text"]) == ("Bb", [], text)
    there_and_back = run("transpose", "-", "F", given=text)
    assert parse_chart(there_and_back).sections == parse_chart(CHART).sections


def test_an_unknown_key_is_an_error(chart: Path) -> None:
    result = CliRunner().invoke(group, ["transpose", str(chart), "X"])
    assert result.exit_code == 1
    assert "X" in result.stderr


def test_a_sheet_as_text(chart: Path) -> None:
    text = run("sheet", chart, "--lane", "plain")
    assert text == (
        "Two <b>\nF major, 4/4, 120 bpm\nform: A A\n\n[A]\n"
        "| F Dm7 | Gm7 C7 / / | Gm7 C7 / / | N.C. |\n| F     |\n"
    )
    assert run("sheet", "-", "--lane", "plain", given=CHART) == text
    assert "Gm7" in run("sheet", chart)


def test_a_sheet_as_pdf_is_one_page_with_every_chord(
    chart: Path, tmp_path: Path, need_program, need_module
) -> None:  # type: ignore[no-untyped-def]
    need_module("typst")
    out = tmp_path / "two.pdf"
    run("sheet", chart, "--lane", "plain", "-o", out)
    found = subprocess.run(
        [need_program("pdftotext"), "-layout", str(out), "-"], capture_output=True, text=True
    ).stdout
    assert found.count("\f") == 1
    for word in ("Two <b>", "F major", "Dm7", "Gm7", "C7", "N.C."):
        assert word in found
    long = tmp_path / "long.changes"
    rows = "".join("| F Dm7 | Gm7 C7 | F D7 | G7 C7 |\n" for _ in range(12))
    long.write_text(f"key: F\n[A]\n{rows}[B]\n{rows}", "utf-8")
    run("sheet", long, "-o", tmp_path / "long.pdf")
    info = subprocess.run(["pdfinfo", str(tmp_path / "long.pdf")], capture_output=True, text=True)
    assert "Pages:           1\n" in info.stdout


def test_paper_is_named_in_any_letters_and_another_one_refused(chart: Path) -> None:
    assert run("sheet", chart, "--paper", "A4") == run("sheet", chart)
    told = CliRunner().invoke(group, ["sheet", str(chart), "--paper", "a5"]).stderr
    assert "'--paper': must be one of a4, letter, got 'a5'" in told


def test_another_suffix_is_a_usage_error(chart: Path) -> None:
    result = CliRunner().invoke(group, ["sheet", str(chart), "-o", "x.doc"])
    assert result.exit_code == 2
    assert ".txt or .pdf" in result.stderr


def test_text_goes_to_standard_output_by_a_dash(chart: Path) -> None:
    assert parse_chart(run("reharm", chart, "-o", "-")).sections[0].swing
