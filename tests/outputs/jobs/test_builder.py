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


@pytest.mark.parametrize(
    ("strikes_at", "whole"), [("a.txt", []), ("b.txt", [".porchswing/made.jsonl", "a.txt"])]
)
def test_ctrl_c_while_a_job_is_taken_in_leaves_no_part_of_it(tmp_path, strikes_at, whole):
    def describe(job, output, told):
        if output == strikes_at:
            raise KeyboardInterrupt
        return Origin("digest of " + output)

    folder = OutputFolder(tmp_path)
    builder = Builder(folder, Site(lambda: ThreadPoolExecutor(1), 1), describe)
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert files(tmp_path) == whole


def test_ctrl_c_while_a_job_is_handed_over_leaves_no_part_of_it(tmp_path):
    site = Site(lambda: Interrupted(1), 1)
    builder = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none"))
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert files(tmp_path) == []
