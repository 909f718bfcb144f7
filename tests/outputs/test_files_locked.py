"""Locks on open files, and what stands for them where a system has others or none."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from porchswing.outputs import files
from porchswing.outputs.files import lock


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Callable[[], int]]:
    """Return a function that opens one file anew; what is still open is closed at the end."""
    handles: list[int] = []

    def open_again() -> int:
        handles.append(os.open(tmp_path / "file", os.O_RDWR | os.O_CREAT))
        return handles[-1]

    yield open_again
    for handle in handles:
        try:
            os.close(handle)
        except OSError:
            continue


def test_a_lock_is_refused_while_another_holds_it(opened: Callable[[], int]) -> None:
    holder, other = opened(), opened()
    assert lock(holder, wait=False) is True
    assert lock(other, wait=False) is False
    os.close(holder)
    assert lock(other, wait=False) is True


def test_a_lock_is_waited_for(opened: Callable[[], int]) -> None:
    holder, other = opened(), opened()
    lock(holder)
    got = threading.Event()
    waiting = threading.Thread(target=lambda: (lock(other), got.set()))
    waiting.start()
    assert not got.wait(0.05)
    os.close(holder)
    assert got.wait(5.0)
    waiting.join()


@pytest.mark.parametrize(
    ("error", "answer"),
    [(None, True), (PermissionError(), False), (BlockingIOError(), False), (OSError(), None)],
)
def test_windows_locks_the_first_byte(
    opened: Callable[[], int],
    monkeypatch: pytest.MonkeyPatch,
    error: OSError | None,
    answer: bool | None,
) -> None:
    asked = []

    def locking(handle: int, mode: str, count: int) -> None:
        asked.append((os.lseek(handle, 0, os.SEEK_CUR), mode, count))
        if error is not None:
            raise error

    module = SimpleNamespace(locking=locking, LK_LOCK="wait", LK_NBLCK="try")
    monkeypatch.setattr(files, "_lock_module", lambda: module)
    handle = opened()
    os.write(handle, b"four")
    assert lock(handle, wait=False) is answer
    os.lseek(handle, 3, os.SEEK_SET)
    lock(handle)  # a file system without locks is no error
    assert asked == [(0, "try", 1), (0, "wait", 1)]


def test_without_locks_nothing_is_held_and_nothing_refused(
    opened: Callable[[], int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "_lock_module", lambda: None)
    handle = opened()
    lock(handle)
    assert lock(handle, wait=False) is None


@pytest.mark.parametrize(("platform", "name"), [("linux", "fcntl"), ("darwin", "fcntl")])
def test_each_system_has_its_module(
    monkeypatch: pytest.MonkeyPatch, platform: str, name: str
) -> None:
    monkeypatch.setattr("sys.platform", platform)
    assert files._lock_module().__name__ == name
    monkeypatch.setattr("sys.platform", "win32")
    assert files._lock_module() is None  # this system has none of Windows' own
