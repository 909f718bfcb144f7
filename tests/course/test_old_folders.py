"""Folders and courses made by porchswing 0.1.0 still build.

``tests/data/made_by_0_1_0`` was written by that version (``tests/data/make_old_course.py``).
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from porchswing.course.course_file import read_course
from porchswing.course.run import build_course, find_todo
from porchswing.errors import OutputError
from porchswing.options import SoundSettings
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.executors import Site


@pytest.fixture
def old(root: Path, tmp_path: Path) -> Path:
    """Return a copy of what 0.1.0 left."""
    return Path(shutil.copytree(root / "tests" / "data" / "made_by_0_1_0", tmp_path / "old"))


def test_an_old_course_builds_into_its_old_folder(old: Path, here: Site) -> None:
    course = read_course(old / "course.toml")
    stated = set(json.loads((old / "course" / "manifest.json").read_text("utf-8"))["files"])
    with OutputFolder(old / "course").locked() as folder:
        todo = find_todo(course, folder)
        assert todo.strangers == ()
        assert {name for job in todo.jobs for name in job.outputs} == stated
        summary = build_course(course, todo, folder, here, prune=True)
    assert summary.failed == ()
    assert set(summary.made) == stated
    assert (summary.removed, summary.edited) == ((), ())


def test_every_key_of_the_old_course_is_still_obeyed(old: Path) -> None:
    choices = read_course(old / "course.toml").tunes[0].choices
    assert choices.sound == SoundSettings(
        loudness_lufs=-20, rate_hz=22_050, bit_depth=24, fade_s=1.5
    )
    assert (choices.use, choices.avoid) == (("tritone substitution",), ("side-slip",))
    style = choices.style
    assert (style.strum, style.bass, style.drums) == ("charleston", "two", "sticks")
    assert (style.count_in_bars, style.ritardando, style.seed) == (1, 0.1, 3)


def test_files_of_an_old_lesson_are_known_as_ours(old: Path) -> None:
    names = json.loads((old / "lesson" / "manifest.json").read_text("utf-8"))["files"]
    there = [old / "lesson" / name for name in names if (old / "lesson" / name).exists()]
    assert len(there) == 7
    OutputFolder(old / "lesson").refuse_strangers(there)
    there[0].write_bytes(b"mine")
    with pytest.raises(OutputError, match="--force"):
        OutputFolder(old / "lesson").refuse_strangers(there)
