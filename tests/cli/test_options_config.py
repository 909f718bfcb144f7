"""Defaults from a file, and the words a shell completes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group
from porchswing.cli.options import config_path, words_for
from porchswing.options import OPTIONS

CHART = "key: F\n[A]\n| F |\n"


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "a.changes"
    path.write_text(CHART, "utf-8")
    return path


def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    (tmp_path / "config.toml").write_text(text, "utf-8")
    monkeypatch.setenv("PORCHSWING_CONFIG", str(tmp_path / "config.toml"))


def render(chart: Path, *words: str) -> dict[str, object]:
    out = chart.parent / "out"
    result = CliRunner().invoke(
        group, ["render", str(chart), "-o", str(out), "--formats", "mid", "--json", *words]
    )
    assert result.exit_code == 0, result.output
    found: dict[str, object] = json.loads(result.stdout)
    return found


def test_defaults_are_used_and_overridden(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert render(chart)["tempo"] == 120
    config(tmp_path, monkeypatch, 'tempo = 90\nwithout = ["drums", "bass"]\nkey = "Bb"\n')
    told = render(chart)
    assert told["tempo"] == 90
    assert "a-Bb-90bpm-without_drums_bass.mid" in str(told["files"])
    assert render(chart, "--tempo", "100")["tempo"] == 100
    assert CliRunner().invoke(group, ["list", "tunings"]).exit_code == 0
    sheet = CliRunner().invoke(group, ["sheet", str(chart), "--lane", "plain"])
    assert sheet.exit_code == 0  # it takes no tempo, and ignores ours


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("temp = 90\n", "unknown option 'temp'; did you mean 'tempo'?"),
        ("tempo = 9\n", "tempo must be"),
        ("tempo =\n", "cannot read"),
    ],
)
def test_a_mistake_in_the_file_is_said(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, says: str
) -> None:
    config(tmp_path, monkeypatch, text)
    result = CliRunner().invoke(group, ["grips", str(chart)])
    assert result.exit_code == 1
    assert says in result.stderr
    assert "config.toml" in result.stderr


def test_the_file_is_where_the_platform_keeps_such_files(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("PORCHSWING_CONFIG")
    monkeypatch.setenv("XDG_CONFIG_HOME", "/somewhere")
    assert config_path().name == "config.toml"
    if sys.platform == "linux":
        assert config_path() == Path("/somewhere/porchswing/config.toml")


def test_shells_complete_what_can_be_chosen() -> None:
    words = {row.field: words_for(row) for row in OPTIONS}
    assert "charleston" in words["strum"]
    assert "walk" in words["bass"]
    assert "brushes" in words["drums"]
    assert "gCEA" in words["tuning"]
    assert set(words["lane"]) == {"plain", "swing"}
    assert "chords" in words["without"]
    assert words["use"]
    assert words["seed"] == ()


def test_bash_is_given_the_names_of_patterns() -> None:
    environment = os.environ | {
        "_PORCHSWING_COMPLETE": "bash_complete",
        "COMP_WORDS": "porchswing render a.changes --strum char",
        "COMP_CWORD": "4",
    }
    done = subprocess.run(
        [sys.executable, "-m", "porchswing"], env=environment, capture_output=True, text=True
    )
    assert done.stdout.split() == ["plain,charleston"]
