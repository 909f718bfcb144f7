"""One job in a worker: what it leaves, what it answers, whom it refuses."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path
from typing import NamedTuple

import pytest

from porchswing.errors import OptionError
from porchswing.outputs.jobs import worker
from porchswing.outputs.jobs.worker import run_job
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
