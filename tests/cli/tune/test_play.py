"""``play`` hands a whole recording to the system's player, and says where there is none."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group

CHART = "key: F\ntempo: 300\n[A]\n| F |\n"


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "a.changes"
    path.write_text(CHART, "utf-8")
    return path


def player(folder: Path, script: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put a program called paplay on an otherwise empty path."""
    bin_folder = folder / "bin"
    bin_folder.mkdir()
    path = bin_folder / "paplay"
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(0o755)
    monkeypatch.setenv("PATH", str(bin_folder))


@pytest.mark.skipif(os.name == "nt", reason="Windows has a player of its own")
def test_the_player_gets_a_recording(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player(tmp_path, f'/bin/cp "$1" {tmp_path}/heard.wav', monkeypatch)
    result = CliRunner().invoke(group, ["play", str(chart), "--rate", "8000"])
    assert result.exit_code == 0, result.output
    assert "through paplay" in result.stderr
    assert (tmp_path / "heard.wav").read_bytes()[:4] == b"RIFF"


@pytest.mark.skipif(os.name == "nt", reason="Windows has a player of its own")
def test_no_player_and_a_player_that_fails_are_said(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player(tmp_path, "exit 3", monkeypatch)
    result = CliRunner().invoke(group, ["play", str(chart), "--rate", "8000"])
    assert result.exit_code == 1
    assert "paplay could not play it (exit code 3)" in result.stderr
    (tmp_path / "bin" / "paplay").write_text("#!/bin/sh\necho 'no card' >&2\n")
    result = CliRunner().invoke(group, ["play", str(chart), "--rate", "8000"])
    assert result.exit_code == 1  # it ends well, but at once
    assert "paplay could not play it: no card; render a file instead" in result.stderr
    monkeypatch.setenv("PATH", "")
    result = CliRunner().invoke(group, ["play", str(chart)])
    assert result.exit_code == 1
    assert "no player was found" in result.stderr
