"""One job in a worker: what it leaves, what it answers, whom it refuses."""

from __future__ import annotations

import errno
import hashlib
import os
import signal
import sys
from pathlib import Path
from threading import Event
from types import SimpleNamespace
from typing import NamedTuple

import pytest

from porchswing.errors import OptionError
from porchswing.outputs.jobs import worker
from porchswing.outputs.jobs.worker import run_job, start_worker
from porchswing.outputs.manifest import engine_digest


class Two(NamedTuple):
    """A job of two files that may fail after them."""

    error: Exception | None = None
    outputs: tuple[str, ...] = ("a.txt", "b.txt")
    written: int = 2

    def run(self, parts):
        for part in parts[: self.written]:
            part.write_text(part.name)
        if self.error is not None:
            raise self.error
        return "told"


def parts_in(folder: Path) -> list[str]:
    return [str(folder / name) for name in ("a.txt", "b.txt")]


def test_every_output_is_synced_and_answered_by_its_content(tmp_path, monkeypatch):
    synced = []
    monkeypatch.setattr(worker, "sync_file", lambda path: synced.append(path.name))
    result = run_job(Two(), parts_in(tmp_path), engine_digest())
    assert synced == ["a.txt", "b.txt"]
    assert result.sha256s == tuple(hashlib.sha256(n.encode()).hexdigest() for n in synced)
    assert (result.returned, result.error) == ("told", "")
    assert 0.0 < result.work_s < 60.0
    assert 10 << 20 < result.peak_bytes < 64 << 30  # a Python process, in bytes


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (OptionError("tempo must be 20 to 400"), "tempo must be 20 to 400"),
        (OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), "cannot write: No space left on device"),
        (OSError("odd"), "cannot write: odd"),
        (ValueError("bad"), "internal error, please report it: ValueError: bad"),
    ],
)
@pytest.mark.parametrize("written", [0, 1, 2])
def test_an_error_is_answered_and_leaves_no_file(tmp_path, error, words, written):
    result = run_job(Two(error, written=written), parts_in(tmp_path), engine_digest())
    assert result.error == words
    assert (result.sha256s, result.returned) == ((), None)
    assert list(tmp_path.iterdir()) == []
    assert result.work_s > 0.0


def test_another_engine_refuses_and_makes_nothing(tmp_path):
    result = run_job(Two(), parts_in(tmp_path), "another")
    assert "has another version of porchswing" in result.error
    assert (result.work_s, result.peak_bytes) == (0.0, 0)  # it took nothing
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="Windows tells no peak")
@pytest.mark.parametrize(("system", "told"), [("linux", 5_000 * 1024), ("darwin", 5_000)])
def test_memory_is_in_bytes_where_the_system_counts_kib_too(tmp_path, monkeypatch, system, told):
    # getrusage(2): ru_maxrss is in KiB on Linux, in bytes on macOS
    monkeypatch.setattr("resource.getrusage", lambda _: SimpleNamespace(ru_maxrss=5_000))
    monkeypatch.setattr(worker, "sys", SimpleNamespace(platform=system))
    assert run_job(Two(), parts_in(tmp_path), engine_digest()).peak_bytes == told


@pytest.fixture
def handlers(monkeypatch):
    """Return the signal handlers that are set; none is set in truth."""
    found = {}
    monkeypatch.setattr(signal, "signal", found.__setitem__)
    return found


def test_a_worker_leaves_ctrl_c_to_the_builder_and_ends_with_it(monkeypatch, handlers):
    builder_ends, ended = Event(), Event()
    parent = SimpleNamespace(join=builder_ends.wait)
    monkeypatch.setattr("multiprocessing.parent_process", lambda: parent)
    monkeypatch.setattr(os, "_exit", lambda code: ended.set())
    start_worker()
    assert handlers == {signal.SIGINT: signal.SIG_IGN, signal.SIGTERM: signal.SIG_DFL}
    assert not ended.is_set()
    builder_ends.set()
    assert ended.wait(10)


def test_a_worker_without_a_builder_waits_for_none(monkeypatch, handlers):
    begun = []
    monkeypatch.setattr("multiprocessing.parent_process", lambda: None)
    monkeypatch.setattr("threading.Thread.start", begun.append)
    start_worker()
    assert begun == []
