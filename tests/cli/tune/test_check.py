"""``check`` tells everything wrong and everything doubtful, each with its place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group

DEMOS = sorted((Path(__file__).resolve().parents[3] / "demos").glob("*.changes"))


def check(*arguments: object) -> tuple[int, dict[str, list[dict[str, object]]]]:
    result = CliRunner().invoke(group, ["check", *map(str, arguments), "--json"])
    return result.exit_code, json.loads(result.stdout)


def test_the_demos_have_nothing_wrong_or_doubtful() -> None:
    assert check(*DEMOS) == (0, {"errors": [], "doubts": []})


@pytest.fixture
def doubtful(tmp_path: Path) -> Path:
    path = tmp_path / "d.changes"
    path.write_text("key: F\nstrum: fuor\n[A]\n| F@7877 Dm7 | C7 G7 |\n", "utf-8")
    return path


def test_a_lock_that_does_not_sound_its_chord_is_doubtful(doubtful: Path) -> None:
    code, told = check(doubtful)
    assert code == 1  # the pattern is wrong, the lock is doubtful
    assert [(e["line"], e["column"], e["hint"]) for e in told["errors"]] == [
        (2, 8, "did you mean four?")
    ]
    (doubt,) = [d for d in told["doubts"] if d["line"] == 4 and d["column"] == 3]
    assert "E7" in str(doubt["message"])


def test_a_pattern_near_no_other_is_answered_with_all_names(tmp_path: Path) -> None:
    path = tmp_path / "p.changes"
    path.write_text("strum: swing\n[A]\nstrum: Boom-chuck\n| F |\n", "utf-8")
    _, told = check(path)
    (error,) = (e for e in told["errors"] if e["line"] == 1)
    names = str(error["hint"]).removeprefix("known: ").split()
    assert {"four", "waltz", "shuffle"} <= set(names)
    assert not [e for e in told["errors"] if e["line"] == 4], "render plays boom_chuck by this name"


def test_text_shows_line_and_caret(doubtful: Path) -> None:
    result = CliRunner().invoke(group, ["check", str(doubtful)])
    assert "    strum: fuor\n           ^^^^\n    hint: did you mean four?" in result.stderr
    assert "doubtful: " in result.stdout
    assert "    | F@7877 Dm7 | C7 G7 |\n      ^^" in result.stdout


def test_every_chart_is_checked_whatever_is_wrong_with_the_first(
    doubtful: Path, tmp_path: Path
) -> None:
    code, told = check(tmp_path / "none.changes", doubtful, DEMOS[0])
    assert code == 1
    assert {e["file"] for e in told["errors"]} == {str(tmp_path / "none.changes"), str(doubtful)}


def test_a_folder_among_charts_is_one_error_and_the_others_are_still_checked(
    tmp_path: Path, root: Path
) -> None:
    chart = root / "demos" / "moth_at_the_window.changes"
    result = CliRunner().invoke(group, ["check", str(tmp_path), str(chart)])
    assert result.exit_code == 1
    assert "cannot read this chart" in result.stderr
    assert f"{chart}: nothing wrong" in result.stdout
