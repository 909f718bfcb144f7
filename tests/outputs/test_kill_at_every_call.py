"""Kill a command at its every open, write, sync, link, rename and removal (kill_at_call).

:mod:`tests.outputs.test_power_cut` does the same for the writes of the C libraries, by replaying
the log of system calls.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="reads /proc and forks"),
]

CHART = "title: Cut\nkey: F\ntempo: 300\n[A]\n| F |\n"
COURSE = '[defaults]\nrate = 8000\ncount-in = 0\n[[tune]]\ncharts = ["*.changes"]\n'


@pytest.mark.parametrize(("which", "at_least"), [("render", 20), ("build", 30)])
def test_killed_at_every_call(tmp_path: Path, root: Path, which: str, at_least: int) -> None:
    memory = Path("/dev/shm")
    with TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else tmp_path) as name:
        Path(name, "c.toml").write_text(COURSE)
        Path(name, "cut.changes").write_text(CHART)
        done = subprocess.run(
            [sys.executable, "-m", "support.kill_at_call", name, which],
            cwd=root / "tests",
            capture_output=True,
            text=True,
            timeout=400,
        )
    assert done.returncode == 0, done.stderr[-2000:]
    assert int(done.stdout) >= at_least
