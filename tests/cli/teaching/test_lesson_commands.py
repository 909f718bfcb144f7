"""``compare``, ``drill`` and ``lesson`` as typed: files, facts, and errors in one paragraph."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import soundfile
from click.testing import CliRunner, Result

from porchswing.cli.main import group

TEXT = "title: Two Lamps\nkey: C\ntempo: 132\n[A]\n| C Am | Dm G7 |\n[B]\n| C7 | F Fm |\n"


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "two lamps.changes"
    path.write_text(TEXT, "utf-8")
    return path


def _run(*words: object) -> Result:
    return CliRunner().invoke(group, [str(word) for word in words])


def _facts(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.output
    facts: dict[str, Any] = json.loads(result.stdout)
    return facts


def test_compare_says_where_each_lane_starts(chart: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    facts = _facts(_run("compare", chart, "-o", out, "--section", "A", "--times", 2, "--json"))
    (row,) = facts["comparisons"]
    assert [piece["name"][:7] for piece in row["pieces"]] == ["A plain", "A swing"] * 2
    assert all(Path(name).is_file() for name in facts["files"])
    wav = next(name for name in facts["files"] if name.endswith(".wav"))
    assert soundfile.info(wav).duration == pytest.approx(row["seconds"], abs=0.01)


def test_compare_gives_each_swap_a_file_of_its_own(chart: Path, tmp_path: Path) -> None:
    facts = _facts(
        _run("compare", chart, "-o", tmp_path, "--formats", "mid", "--each-swap", "--json")
    )
    assert len(facts["comparisons"]) >= 3
    assert len(set(facts["files"])) == len(facts["comparisons"])


def test_drill_writes_tracks_cues_and_a_plan(chart: Path, tmp_path: Path) -> None:
    words = ["--kind", "ladder", "--kind", "strum", "--from", 80, "--to", 96]
    facts = _facts(_run("drill", chart, "-o", tmp_path, "--formats", "mid", *words, "--json"))
    assert [row["kind"] for row in facts["drills"]] == ["strum", "ladder"]
    assert [row["text"] for row in facts["drills"][1]["sections"]] == [
        "80 bpm",
        "84 bpm",
        "88 bpm",
        "92 bpm",
        "96 bpm",
    ]
    suffixes = {Path(name).suffix for name in facts["files"]}
    assert suffixes == {".mid", ".vtt", ".txt"}
    plan = (tmp_path / "two_lamps-practice_plan.txt").read_text("utf-8")
    assert "Stop at once" in plan


def test_a_ladder_that_goes_down_is_refused_in_a_sentence(chart: Path, tmp_path: Path) -> None:
    result = _run("drill", chart, "-o", tmp_path, "--from", 120, "--to", 80)
    assert result.exit_code == 1
    assert "a ladder climbs: from 120 it cannot reach 80" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == [chart.name]


def test_lesson_makes_its_folder_and_then_nothing(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr("click.launch", opened.append)
    words = ["lesson", chart, "-o", tmp_path / "out", "--formats", "wav", "--quick", "--json"]
    first = _facts(_run(*words))
    assert first["failed"] == []
    assert (tmp_path / "out" / "index.html").is_file()
    assert opened == []
    second = _facts(_run(*words, "--open"))
    assert opened == [str(tmp_path / "out" / "index.html")]
    assert second["made"] == []
    assert second["kept"] == first["planned"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title: x\n[A]\n| H7 |\n", "two lamps.changes:3:3: "),
        ("title: x\n[A]\n" + "| C " * 401 + "|\n", "at most 400 bars"),
        ("title: x\n[A]\n" + "| C " * 3000 + "|\n", "bars"),
    ],
)
def test_a_chart_no_lesson_can_be_made_of_leaves_nothing(
    chart: Path, tmp_path: Path, text: str, said: str
) -> None:
    chart.write_text(text, "utf-8")
    result = _run("lesson", chart, "-o", tmp_path / "out")
    assert result.exit_code == 1
    assert said in result.stderr
    assert "Traceback" not in result.output
    assert not (tmp_path / "out").exists()


def test_a_folder_nobody_can_write_is_said_in_a_sentence(chart: Path, tmp_path: Path) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("not a folder", "utf-8")
    result = _run("lesson", chart, "-o", blocker / "out")
    assert result.exit_code == 1
    assert result.stderr.startswith("porchswing: cannot write")
    assert len(result.stderr.strip().splitlines()) == 1
