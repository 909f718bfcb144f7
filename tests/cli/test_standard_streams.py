"""``-`` is standard input for a chart and standard output for one file, and never a name."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import wave
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner

from porchswing.cli.main import group

CHART = "key: F\n[A]\n| F | C7 |\n"


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_render_writes_one_file_to_standard_output(tmp_path: Path) -> None:
    midi = CliRunner().invoke(group, ["render", "-", "-o", "-", "--formats", "mid"], input=CHART)
    assert midi.exit_code == 0, midi.output
    assert mido.MidiFile(file=io.BytesIO(midi.stdout_bytes)).length > 3
    sound = CliRunner().invoke(group, ["render", "-", "-o", "-", "--rate", "8000"], input=CHART)
    assert sound.exit_code == 0, sound.output
    with wave.open(io.BytesIO(sound.stdout_bytes)) as file:
        assert file.getnframes() > 3 * 8000
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("more", [["--formats", "mid,wav"], ["--stems"], ["--json"]])
def test_more_than_one_file_does_not_go_there(tmp_path: Path, more: list[str]) -> None:
    done = CliRunner().invoke(group, ["render", "-", "-o", "-", *more], input=CHART)
    assert done.exit_code == 2
    assert "one chart in one format" in done.output


@pytest.mark.parametrize("command", ["lesson", "drill", "compare", "build"])
def test_a_folder_is_never_called_so(tmp_path: Path, command: str) -> None:
    done = CliRunner().invoke(group, [command, "a.changes", "-o", "-"])
    assert done.exit_code == 2
    assert "name a folder" in done.output
    assert list(tmp_path.iterdir()) == []


def test_check_reads_standard_input() -> None:
    good = CliRunner().invoke(group, ["check", "-"], input=CHART)
    assert (good.exit_code, good.output) == (0, "<standard input>: nothing wrong or doubtful\n")
    bad = CliRunner().invoke(group, ["check", "-"], input="[A]\n| f |\n")
    assert bad.exit_code == 1
    assert bad.output.startswith("<standard input>:2:3: ")
    assert CliRunner().invoke(group, ["check", "--fix", "-"], input=CHART).exit_code == 2


def test_a_full_disk_behind_standard_output_is_told_in_a_sentence() -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("no /dev/full on this system")
    with full.open("w") as stream:
        done = subprocess.run(
            [sys.executable, "-m", "porchswing", "list", "chords"],
            stdout=stream,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            env=os.environ,
        )
    assert done.returncode == 1
    assert "no space left" in done.stderr
    assert "internal error" not in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="handles are closed by a shell of POSIX")
def test_a_closed_standard_input_is_said(tmp_path: Path) -> None:
    line = f"{sys.executable} -m porchswing grips - <&-"
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, timeout=120)
    assert done.returncode == 1
    assert "standard input, which is closed" in done.stderr
