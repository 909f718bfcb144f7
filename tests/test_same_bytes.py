"""The same chart and seed give the same bytes, file by file, in two fresh processes.

The processes differ in what may leak into files by mistake: the order of sets (PYTHONHASHSEED),
the clock, the process id and the folder.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

CHART = "title: Twice\nkey: F\ntempo: 300\nseed: 4\n[A]\n| F Dm7 | Gm7 C7 |\n| F D7 | G7 C7 |\n"
COMMANDS = {
    "render": ["--formats", "mid,wav,flac,ogg,mp3", "--rate", "8000", "--stems"],
    "lesson": ["--formats", "ogg", "--rate", "8000"],
    "lesson --quick": ["--formats", "ogg", "--rate", "8000", "--quick"],
    "grips": ["--svg"],
}


def files_of(folder: Path, command: str, seed: str) -> dict[str, bytes]:
    """Run a command in a process of its own; return what it wrote by name."""
    folder.mkdir()
    (folder / "twice.changes").write_text(CHART, "utf-8")
    options = COMMANDS[command]
    where = ["--svg", "out"] if "--svg" in options else ["-o", "out", *options]
    done = subprocess.run(
        [sys.executable, "-m", "porchswing", command.split()[0], "twice.changes", *where],
        cwd=folder,
        env=os.environ | {"PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    out = folder / "out"
    paths = (path for path in out.rglob("*") if path.is_file() and ".porchswing" not in path.parts)
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in paths}


@pytest.mark.parametrize(
    "command", ["render", "lesson --quick", pytest.param("lesson", marks=pytest.mark.slow), "grips"]
)
def test_two_fresh_processes_write_the_same_bytes(
    tmp_path: Path, command: str, need_module
) -> None:  # type: ignore[no-untyped-def]
    if command.startswith("lesson"):
        need_module("typst")
    first = files_of(tmp_path / "one", command, "1")
    time.sleep(1.1)  # a file that holds the time in seconds would differ
    second = files_of(tmp_path / "another", command, "2")
    assert len(first) >= {"render": 17, "lesson": 20, "lesson --quick": 8, "grips": 4}[command]
    assert first.keys() == second.keys()
    assert [name for name in first if first[name] != second[name]] == []
