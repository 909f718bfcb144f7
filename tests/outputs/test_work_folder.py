"""Part files of live commands stay, those of dead ones are swept."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from porchswing.outputs import files, work_folder
from porchswing.outputs.work_folder import WorkFolder

HOLD = """
import sys, time
from pathlib import Path
from porchswing.outputs.work_folder import WorkFolder
part = WorkFolder(Path(sys.argv[1])).new_part(".wav")
part.write_bytes(b"half")
part.with_name(".part.0123.wav").write_bytes(b"a quarter")
print(part, flush=True)
time.sleep(60)
"""


def test_a_live_commands_parts_stay_and_a_killed_ones_go(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        left = Path(process.stdout.readline().strip())
        own = WorkFolder(tmp_path)
        own.remove(own.new_part(".mid"))
        own.sweep()
        assert left.exists()
        process.kill()
    own.new_part(".mid")  # the next command, a single render too
    assert not left.parent.exists()


def test_the_folder_is_there_while_parts_are(tmp_path: Path) -> None:
    work = WorkFolder(tmp_path / "work")
    first, second = work.new_part(".wav"), work.new_part(".mid")
    assert first.parent == second.parent
    assert (first.suffix, second.suffix) == (".wav", ".mid")
    work.remove(first)
    assert second.parent.is_dir()
    second.write_bytes(b"x")
    work.remove(second)
    assert list((tmp_path / "work").iterdir()) == []
    assert work.new_part(".wav") != first


def test_without_locks_age_decides(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "_lock_module", lambda: None)
    other = WorkFolder(tmp_path)
    young = other.new_part(".wav")
    young.write_bytes(b"growing")
    own = WorkFolder(tmp_path)
    own.sweep()
    assert young.exists()
    day = work_folder._DAY_S
    os.utime(young.parent, (0, young.stat().st_mtime - day - 60))
    own.sweep()
    assert not young.parent.exists()


def test_a_command_that_runs_for_days_keeps_its_own_parts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "_lock_module", lambda: None)
    work = WorkFolder(tmp_path)
    part = work.new_part(".wav")
    part.write_bytes(b"growing")
    os.utime(part.parent, (0, 0))
    work.sweep()
    assert part.exists()


def test_stray_files_of_earlier_versions_go_after_a_day(tmp_path: Path) -> None:
    old, young = tmp_path / ".build-0123.wav", tmp_path / "single-4567.wav"
    for path in (old, young):
        path.write_bytes(b"half")
    os.utime(old, (0, 0))
    WorkFolder(tmp_path).sweep()
    assert not old.exists()
    assert young.exists()


def test_a_folder_swept_while_it_is_made_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = [False, True]  # a sweep of another command holds the first one's lock
    monkeypatch.setattr(work_folder, "lock", lambda handle, **_: answers.pop(0))
    part = WorkFolder(tmp_path).new_part(".wav")
    assert part.parent.is_dir()
    assert answers == []


def test_a_folder_removed_before_it_is_marked_live_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Path] = []
    real = Path.mkdir
    (tmp_path / "work").mkdir()

    def mkdir(self: Path, *args: object, **kwargs: object) -> None:
        real(self, parents=True)
        made.append(self)
        if len(made) == 1:  # a sweep of another command finds it empty
            self.rmdir()

    monkeypatch.setattr(Path, "mkdir", mkdir)
    part = WorkFolder(tmp_path / "work").new_part(".wav")
    assert part.parent == made[1]
    assert (part.parent / "live").exists()
