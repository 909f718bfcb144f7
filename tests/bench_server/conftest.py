"""Fixtures of the bench's tests: one bench for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from support.bench_tune import TUNE


@pytest.fixture(scope="session")
def bench_folder(tmp_path_factory, need_module) -> Path:
    for name in ("starlette", "uvicorn", "websockets", "watchfiles"):
        need_module(name)
    folder = tmp_path_factory.mktemp("bench")
    (folder / "two_rooms.changes").write_text(TUNE, "utf-8")
    return folder


@pytest.fixture(scope="session")
def bench(bench_folder) -> Iterator[object]:
    from support.bench_running import Running

    with Running(bench_folder, "two_rooms.changes") as running:
        yield running
        assert running.end() == 0


@pytest.fixture
def talk(bench) -> Iterator[object]:
    with bench.talk() as talk:
        yield talk
