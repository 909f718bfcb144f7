"""The journal: whole lines whatever the disk does, and none lost between two commands."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from porchswing.outputs.made_files import Journal
from porchswing.outputs.manifest import Entry

ENTRY = Entry("a.mid", "d", "s" * 64, 5)

APPEND = """
import sys
from pathlib import Path
from porchswing.outputs.made_files import Journal
from porchswing.outputs.manifest import Entry
journal = Journal(Path(sys.argv[1]))
for number in range(150):
    if sys.argv[2] == "shorten":
        journal.shorten(list, Path(sys.argv[1]) / "part")
    else:
        journal.append([Entry(f"{sys.argv[2]}-{number}", "d", "s" * 64, number)], sync=False)
"""


def test_a_short_write_is_continued(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real, sizes = os.write, []

    def short(handle: int, data: bytes) -> int:
        sizes.append(len(data))
        return real(handle, data[:7])

    monkeypatch.setattr(os, "write", short)
    Journal(tmp_path).append([ENTRY])
    assert len(sizes) > 10
    assert Journal(tmp_path).read() == [ENTRY]


def test_a_disk_that_fills_up_is_an_error_and_leaves_other_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = Journal(tmp_path)
    journal.append([ENTRY])
    real, calls = os.write, []

    def full(handle: int, data: bytes) -> int:
        calls.append(data)
        if len(calls) > 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(handle, data[:20])

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space left"):
        journal.append([Entry("b.mid", "d", "s", 1)])
    monkeypatch.undo()
    journal.append([Entry("c.mid", "d", "s", 1)])
    assert [entry.path for entry in journal.read()] == ["a.mid", "c.mid"]


def test_the_journal_is_synced_before_append_returns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced = []
    monkeypatch.setattr(
        "porchswing.outputs.made_files.sync_handle", lambda handle: synced.append(os.fstat(handle))
    )
    Journal(tmp_path).append([ENTRY])
    assert [stat.st_size for stat in synced] == [(tmp_path / "made.jsonl").stat().st_size]
    Journal(tmp_path).append([ENTRY], sync=False)
    assert len(synced) == 1


def test_a_new_journals_name_is_synced_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[Path] = []
    monkeypatch.setattr("porchswing.outputs.made_files.sync_folder", synced.append)
    Journal(tmp_path).append([ENTRY])
    assert synced == [tmp_path]
    Journal(tmp_path).append([ENTRY])
    assert synced == [tmp_path]  # its name is there for good


def test_two_that_append_and_one_that_shortens_lose_no_line(tmp_path: Path) -> None:
    Journal(tmp_path).append([ENTRY])
    running = [
        subprocess.Popen([sys.executable, "-c", APPEND, str(tmp_path), what])
        for what in ("one", "two", "shorten")
    ]
    assert [process.wait(60) for process in running] == [0, 0, 0]
    names = [entry.path for entry in Journal(tmp_path).read()]
    assert sorted(names) == sorted(
        ["a.mid", *(f"{who}-{number}" for who in ("one", "two") for number in range(150))]
    )


def test_the_journal_has_the_usual_rights(tmp_path: Path) -> None:
    Journal(tmp_path).append([ENTRY])
    mask = os.umask(0)
    os.umask(mask)
    assert (tmp_path / "made.jsonl").stat().st_mode & 0o777 == 0o666 & ~mask


def test_the_journal_is_written_as_it_is_on_windows_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    modes, real = [], os.open

    def opened(path: Path, mode: int, rights: int = 0o777, **more: int) -> int:
        if Path(path).name == "made.jsonl":
            modes.append(mode)
        return real(path, mode, rights, **more)

    monkeypatch.setattr("porchswing.outputs.files.BINARY", os.O_CLOEXEC)  # any flag of this system
    monkeypatch.setattr(os, "open", opened)
    Journal(tmp_path / "hidden").append([ENTRY])
    assert modes == [os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC]
