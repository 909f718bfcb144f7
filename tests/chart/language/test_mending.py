"""A beginner's chart is mended where it can mean one thing only, and nothing else is touched."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given

from porchswing.chart.language.mending import mend
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.cli.main import group
from support.strategies import chart_like_text, charts

CASES = {
    "[Verse 1]\n| F |": "[Verse-1]\n| F |",
    "[A]\n│ f │ Es7 As Cis7 │ Rém │ am/c │": "[A]\n| F | Eb7 Ab C#7 | Dm | am/c |",
    "[A]\n| bb7 | h7 |": "[A]\n| Bb7 | B7 |",
    "[A]\nplain | f{slide} | am@2003 |": "[A]\nplain | F{slide} | Am@2003 |",
    "key: F\nF C7 dm": "key: F\n[A]\n| F | C7 | Dm |",
    "form: Verse 1 x2\n[Verse 1]\nF C7": "form: Verse-1 x2\n[Verse-1]\n| F | C7 |",
    "My Kettle\nkey G minor\nTempo 96\nGm D7": "title: My Kettle\nkey: G minor\ntempo: 96\n"
    "[A]\n| Gm | D7 |",
    "# mine\nMy Kettle\n[A]\n| F |": "# mine\nMy Kettle\n[A]\n| F |",
    "[A]\n| F | key G |": "[A]\n| F | key G |",
    "[A]\n| G dom7 |": "[A]\n| G dom7 |",
    "# a comment │ am": "# a comment │ am",
    "title: f am\nkey: F\n[A]\nstrum: four\n| F |": "title: f am\nkey: F\n[A]\nstrum: four\n| F |",
    "[A]\nsome words of a song": "[A]\nsome words of a song",
}


@pytest.mark.parametrize(("text", "want"), CASES.items())
def test_what_is_mended(text: str, want: str) -> None:
    mended = mend(text)
    assert mended.text == want
    assert bool(mended.changes) == (text != want)
    assert mend(want).text == want


@given(charts())
def test_a_good_chart_is_left_as_it_is(chart) -> None:  # type: ignore[no-untyped-def]
    text = write_chart(chart)
    assert parse_chart(mend(text).text) == parse_chart(text)


@given(chart_like_text())
def test_any_text_is_mended_without_error(text: str) -> None:
    once = mend(text).text
    assert mend(once).text == once


def test_check_fix_writes_the_mended_chart_and_says_what_changed(tmp_path: Path) -> None:
    path = tmp_path / "a.changes"
    path.write_text("title: Mine\nkey: F\n[Verse 1]\nf Es7 am\n", "utf-8")
    assert CliRunner().invoke(group, ["check", str(path)]).exit_code == 1
    fixed = CliRunner().invoke(group, ["check", "--fix", str(path)])
    assert fixed.exit_code == 0, fixed.output
    assert "line 4: f Es7 am -> | F | Eb7 | Am |" in fixed.output
    assert path.read_text("utf-8") == "title: Mine\nkey: F\n[Verse-1]\n| F | Eb7 | Am |\n"


def test_check_says_what_fix_would_mend(tmp_path: Path) -> None:
    path = tmp_path / "a.changes"
    path.write_text("My Kettle\nkey F\n[A]\n│ F │ am │\n", "utf-8")
    told = CliRunner().invoke(group, ["check", str(path)])
    assert told.exit_code == 1
    for hint in ("write title: My Kettle", "write key: F", "the sign between bars is |"):
        assert f"hint: {hint}" in told.output
    assert f"porchswing check --fix {path} mends 3 lines" in told.output
    fixed = CliRunner().invoke(group, ["check", "--fix", str(path)])
    assert fixed.exit_code == 0
    assert "--fix" not in fixed.output
    path.write_text("[A]\n| F | nothing |\n", "utf-8")
    assert "--fix" not in CliRunner().invoke(group, ["check", str(path)]).output
