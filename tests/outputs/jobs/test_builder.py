"""The builder and its jobs: what an interrupt leaves, wherever it strikes."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

import pytest

from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.builder import Builder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Origin
from porchswing.outputs.placing import place_file


class Pair(NamedTuple):
    """A job of two files."""

    outputs: tuple[str, ...]

    def run(self, parts):
        for part in parts:
            part.write_text("made")


class Interrupted(ThreadPoolExecutor):
    """An executor under which Ctrl-C strikes while a job is handed over."""

    def submit(self, *arguments, **named):
        super().submit(*arguments, **named)
        raise KeyboardInterrupt


def files(folder: Path) -> list[str]:
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())


@pytest.mark.parametrize("strikes_at", ["a.txt", "b.txt"])
def test_ctrl_c_while_a_job_is_described_leaves_no_part_of_it(tmp_path, strikes_at):
    def describe(job, output, told):
        if output == strikes_at:
            raise KeyboardInterrupt
        return Origin("digest of " + output)

    folder = OutputFolder(tmp_path)
    builder = Builder(folder, Site(lambda: ThreadPoolExecutor(1), 1), describe)
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert files(tmp_path) == []


@pytest.mark.parametrize(("strikes_at", "whole"), [("a.txt", []), ("b.txt", ["a.txt"])])
def test_ctrl_c_while_files_are_put_in_place_leaves_whole_ones(
    tmp_path, monkeypatch, strikes_at, whole
):
    def strike(part, path, *, replace):
        if path.name == strikes_at:
            raise KeyboardInterrupt
        place_file(part, path, replace=replace)

    monkeypatch.setattr("porchswing.outputs.folder.place_file", strike)
    builder = Builder(
        OutputFolder(tmp_path), Site(lambda: ThreadPoolExecutor(1), 1), lambda *_: Origin("none")
    )
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert [name for name in files(tmp_path) if not name.startswith(".porchswing")] == whole
    assert not list((tmp_path / ".porchswing" / "work").iterdir())
    assert all(OutputFolder(tmp_path).is_current(tmp_path / name, "none") for name in whole)


def test_ctrl_c_while_a_job_is_handed_over_leaves_no_part_of_it(tmp_path):
    site = Site(lambda: Interrupted(1), 1)
    builder = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none"))
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert files(tmp_path) == []
