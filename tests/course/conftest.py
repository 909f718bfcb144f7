"""A small course to build: two tunes of four bars, quick to make."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from porchswing.outputs.jobs.executors import Site

COURSE = """
title = "Short term"
[defaults]
keys    = ["as written", "Bb"]
tempos  = [200]
formats = ["wav", "mid"]
rate    = 8000
count-in = 0
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["tunes/*.changes"]
[[tune]]
charts = ["tunes/gate.changes"]
tempos = [180, "as written"]
"""

GATE = "title: Gate\nkey: F\ntempo: 240\nstrum: charleston\n[A]\n| F Dm7 | Gm7 C7 | F | F |\n"
SHED = "title: Shed\nkey: G\ntempo: 220\n[A]\n| G | D7 | G C | G |\n"


@pytest.fixture
def course(tmp_path: Path) -> Path:
    """Return the path of a course file with its charts beside it; 24 files are asked for."""
    folder = tmp_path / "course"
    (folder / "tunes").mkdir(parents=True)
    (folder / "tunes" / "gate.changes").write_text(GATE, "utf-8")
    (folder / "tunes" / "shed.changes").write_text(SHED, "utf-8")
    (folder / "term.toml").write_text(COURSE, "utf-8")
    return folder / "term.toml"


@pytest.fixture
def here() -> Site:
    """Return a place to run jobs that is this very process."""
    return Site(lambda: ThreadPoolExecutor(1), 1)
