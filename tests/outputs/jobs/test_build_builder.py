"""The builder and its jobs: what an interrupt leaves, wherever it strikes."""

from __future__ import annotations

import time
from concurrent.futures import BrokenExecutor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import ClassVar, NamedTuple

import pytest

from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs import build as building
from porchswing.outputs.jobs.build import Builder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Origin, Result
from porchswing.outputs.jobs.worker import RARE, run_job
from porchswing.outputs.manifest import engine_digest
from porchswing.outputs.work_folder import place_file


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


class Breaking(ThreadPoolExecutor):
    """An executor whose first two jobs die together; later it notes how many run at once."""

    died: ClassVar[list[str]] = []
    at_once: ClassVar[list[tuple[str, int]]] = []

    def submit(self, work, job, *words):
        name = job.outputs[0]
        if len(self.died) < 2:
            self.died.append(name)
            future = Future()
            future.set_exception(BrokenExecutor("a worker died"))
            return future
        self.at_once.append((name, self.running() + 1))
        future = super().submit(work, job, *words)
        self.futures = [*getattr(self, "futures", []), future]
        return future

    def running(self):
        return sum(not future.done() for future in getattr(self, "futures", []))


class Slow(Pair):
    """A job that takes long enough to be seen running."""

    lasts_s: ClassVar[float] = 0.1

    def run(self, parts):
        time.sleep(self.lasts_s)
        super().run(parts)


def test_suspects_run_alone_and_each_is_tried_again(tmp_path, monkeypatch):
    monkeypatch.setattr(building, "_LOOK_S", 0.02)  # looks again while a suspect runs
    Breaking.died.clear()
    Breaking.at_once.clear()
    jobs = [Slow((f"{number}.txt",)) for number in range(6)]
    site = Site(lambda: Breaking(2), 2)  # four jobs are handed over at once
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(jobs)
    assert sorted(tally.made) == sorted(job.outputs[0] for job in jobs)
    assert tally.failures == []
    assert Breaking.at_once[:2] == [("2.txt", 1), ("3.txt", 2)]
    assert sorted(Breaking.at_once[2:4]) == [("0.txt", 1), ("1.txt", 1)]
    assert Breaking.at_once[4:] == [("4.txt", 1), ("5.txt", 2)]


class Deadly(ThreadPoolExecutor):
    """An executor whose workers die of one job."""

    def submit(self, work, job, *words):
        if job.outputs[0] == "deadly":
            future = Future()
            future.set_exception(BrokenExecutor("killed"))
            return future
        return super().submit(work, job, *words)


def test_a_job_that_kills_three_workers_is_given_up_and_the_others_are_made(tmp_path):
    settled = []
    jobs = [Pair(("a",)), Pair(("deadly", "deadly too")), Pair(("b",))]
    site = Site(lambda: Deadly(1), 1)
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(
        jobs, lambda job: settled.append(job.outputs[0])
    )
    assert sorted(tally.made) == ["a", "b"]
    words = "its worker died 3 times (killed)"
    assert [(f.file, f.message) for f in tally.failures] == [
        ("deadly", words), ("deadly too", words),
    ]  # fmt: skip
    assert sorted(settled) == ["a", "b", "deadly"]  # each once


def test_an_executor_that_takes_no_more_is_replaced(tmp_path):
    class Broken(ThreadPoolExecutor):
        def submit(self, *_):
            raise BrokenExecutor("broken before")

    executors = [ThreadPoolExecutor(1), Broken(1)]
    site = Site(executors.pop, 1)
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run([Pair(("a",))])
    assert (tally.made, tally.failures, executors) == (["a"], [], [])


def test_a_build_without_workers_ends_and_says_so(tmp_path, monkeypatch):
    class Nobody(ThreadPoolExecutor):
        def submit(self, *_):
            return Future()  # that nobody will ever fulfil

    monkeypatch.setattr(building, "_LOOK_S", 0.01)
    monkeypatch.setattr(building, "NO_WORKER_S", 0.05)
    site = Site(lambda: Nobody(1), 1, lambda: 0)
    jobs = [Pair((f"{number}",)) for number in range(4)]
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(jobs)
    assert {f.message for f in tally.failures} == {
        "no worker was left for 0.05 s; finished files are kept"
    }
    assert sorted(f.file for f in tally.failures) == ["0", "1", "2", "3"]
    assert not list((tmp_path / ".porchswing").rglob("*.part"))


def test_the_time_and_memory_of_all_jobs_are_told(tmp_path, monkeypatch):
    results = [Result(("0" * 64,), "one", 1.5, 300), Result(("1" * 64,), "two", 2.0, 200)]

    class Answering(ThreadPoolExecutor):
        def submit(self, work, job, parts, engine):
            Path(parts[0]).write_text("made")
            future = Future()
            future.set_result(results.pop(0))
            return future

    site = Site(lambda: Answering(1), 1)
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(
        [Pair(("a",)), Pair(("b",))]
    )
    assert (tally.work_s, tally.peak_bytes, sorted(tally.returned)) == (3.5, 300, ["one", "two"])


@pytest.mark.parametrize("batch_s", [60.0, 0.0])
def test_finished_files_are_put_in_place_together_for_a_while(tmp_path, monkeypatch, batch_s):
    monkeypatch.setattr(building, "BATCH_S", batch_s)
    folder, sizes = OutputFolder(tmp_path), []
    adopt = folder.adopt

    def counted(finished, *, is_synced):
        sizes.append(len(finished))
        return adopt(finished, is_synced=is_synced)

    monkeypatch.setattr(folder, "adopt", counted)
    jobs = [Slow((f"{number}.txt",)) for number in range(6)]
    site = Site(lambda: ThreadPoolExecutor(1), 3)  # all six are handed over at once
    Builder(folder, site, lambda *_: Origin("none")).run(jobs)
    assert sum(sizes) == 6
    assert (len(sizes) == 1) == (batch_s > 0)


def test_jobs_found_finished_together_settle_as_they_were_handed_out(tmp_path):
    class AtOnce(ThreadPoolExecutor):
        def submit(self, work, *words):
            future = Future()
            future.set_result(work(*words))
            return future

    settled = []
    names = [f"{number}.txt" for number in range(12)]
    site = Site(lambda: AtOnce(1), 6)  # all twelve are handed over at once
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(
        [Pair((name,)) for name in names], lambda job: settled.append(job.outputs[0])
    )
    assert (settled, tally.made) == (names, names)


def test_what_workers_have_synced_is_not_synced_again(tmp_path, monkeypatch):
    synced = []
    monkeypatch.setattr("porchswing.outputs.folder.sync_file", synced.append)
    site = Site(lambda: ThreadPoolExecutor(1), 1)
    Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run([Pair(("a", "b"))])
    assert synced == []


def test_ctrl_c_lets_no_waiting_job_begin(tmp_path):
    class Begun(Slow):
        names: ClassVar[list[str]] = []

        def run(self, parts):
            self.names.append(self.outputs[0])
            super().run(parts)

    def stop(job):
        raise KeyboardInterrupt

    site = Site(lambda: ThreadPoolExecutor(1), 3)  # all six are handed over at once
    jobs = [Begun((f"{number}.txt",)) for number in range(6)]
    with pytest.raises(KeyboardInterrupt):
        Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run(jobs, stop)
    assert len(Begun.names) < 6


def test_a_job_no_worker_can_run_is_a_failure_at_once(tmp_path):
    class Refusing(ThreadPoolExecutor):
        def submit(self, *_):
            future = Future()
            future.set_exception(AttributeError("no such job here"))
            return future

    site = Site(lambda: Refusing(1), 1)
    tally = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run([Pair(("a",))])
    assert [failure.message for failure in tally.failures] == [
        "no worker could run it (AttributeError: no such job here)"
    ]


def test_ctrl_c_while_a_job_is_handed_over_leaves_no_part_of_it(tmp_path):
    site = Site(lambda: Interrupted(1), 1)
    builder = Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none"))
    with pytest.raises(KeyboardInterrupt):
        builder.run([Pair(("a.txt", "b.txt"))])
    assert files(tmp_path) == []


def test_a_process_that_runs_jobs_seldom_looks_for_cycles(tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr("gc.set_threshold", asked.append)
    result = run_job(Pair(("a.txt",)), [str(tmp_path / "a.txt")], engine_digest())
    assert result.error == ""
    assert asked == [RARE]
