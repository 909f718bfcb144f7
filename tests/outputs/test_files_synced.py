"""What is written reaches the disk: by ``fsync``, or by the call macOS has for the drive."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from porchswing.outputs import files

fcntl = pytest.importorskip("fcntl")


@pytest.fixture
def synced(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return the numbers of the files given to ``os.fsync``, as the file system counts them."""
    numbers: list[int] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        numbers.append(os.fstat(handle).st_ino)
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    return numbers


def test_a_file_and_a_folder_are_synced(tmp_path: Path, synced: list[int]) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"x")
    files.sync_file(path)
    files.sync_folder(tmp_path)
    assert synced == [path.stat().st_ino, tmp_path.stat().st_ino]


def test_a_file_is_opened_for_writing_as_windows_flushes_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, modes, real = tmp_path / "a", [], os.open
    path.write_bytes(b"x")

    def opened(name: Path, mode: int, permissions: int) -> int:
        modes.append(mode)
        return real(name, mode, permissions)

    monkeypatch.setattr(os, "open", opened)
    files.sync_file(path)
    assert modes == [os.O_RDWR | files.BINARY]


def test_every_new_folders_name_is_synced_in_the_one_above(
    tmp_path: Path, synced: list[int]
) -> None:
    files.make_folder(tmp_path / "a" / "b")
    assert synced == [tmp_path.stat().st_ino, (tmp_path / "a").stat().st_ino]
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(FileExistsError):
        files.make_folder(tmp_path / "file")


@pytest.mark.parametrize(("refused", "fsyncs"), [(False, 0), (True, 1)])
def test_macos_flushes_the_drive_too(
    tmp_path: Path, synced: list[int], monkeypatch: pytest.MonkeyPatch, refused: bool, fsyncs: int
) -> None:
    asked: list[int] = []

    def call(handle: int, what: int) -> None:
        asked.append(what)
        if refused:
            raise OSError(errno.ENOTSUP, "not here")

    monkeypatch.setattr(fcntl, "F_FULLFSYNC", 51, raising=False)
    monkeypatch.setattr(fcntl, "fcntl", call)
    (tmp_path / "a").write_bytes(b"x")
    files.sync_file(tmp_path / "a")
    assert asked == [51]
    assert len(synced) == fsyncs


@pytest.mark.parametrize("number", [errno.EINVAL, errno.EROFS, errno.EIO])
def test_a_file_system_without_syncing_is_no_error_a_failing_disk_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def fsync(handle: int) -> None:
        raise OSError(number, "no")

    monkeypatch.setattr(os, "fsync", fsync)
    (tmp_path / "a").write_bytes(b"x")
    if number == errno.EIO:
        with pytest.raises(OSError, match="no"):
            files.sync_file(tmp_path / "a")
    else:
        files.sync_file(tmp_path / "a")
