"""What the builder does when workers die, are replaced, or stay away for a while."""

from __future__ import annotations

from concurrent.futures import BrokenExecutor, Future, ThreadPoolExecutor
from itertools import count
from typing import NamedTuple

import pytest

from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs import build as building
from porchswing.outputs.jobs.build import Builder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Origin


class Writes(NamedTuple):
    """A job of one file."""

    outputs: tuple[str, ...] = ("a.txt",)

    def run(self, parts):
        for part in parts:
            part.write_text("made")


def run(tmp_path, site):
    return Builder(OutputFolder(tmp_path), site, lambda *_: Origin("none")).run([Writes()])


class Later(ThreadPoolExecutor):
    """An executor whose jobs wait until :meth:`answer` runs them."""

    def __init__(self):
        super().__init__(1)
        self.waiting = []

    def submit(self, work, *words):
        future = Future()
        self.waiting.append((future, work, words))
        return future

    def answer(self):
        for future, work, words in self.waiting:
            future.set_result(work(*words))
        self.waiting.clear()


def looked(monkeypatch, tmp_path, *, clock_starts_s, step_s, workers, answers_at):
    """Return what came of a build whose clock goes on at every look, and how often it looked."""
    ticks, looks, executor = count(), [], Later()

    def workers_now():
        looks.append(1)
        if len(looks) == answers_at:
            executor.answer()
        return workers

    monkeypatch.setattr(building, "monotonic", lambda: clock_starts_s + step_s * next(ticks))
    monkeypatch.setattr(building, "_LOOK_S", 0.001)
    return run(tmp_path, Site(lambda: executor, 1, workers_now)), len(looks)


@pytest.mark.parametrize("clock_starts_s", [1.0, 1e6])
def test_workers_may_stay_away_for_a_while(monkeypatch, tmp_path, clock_starts_s):
    tally, looks = looked(
        monkeypatch, tmp_path, clock_starts_s=clock_starts_s, step_s=building.NO_WORKER_S / 100,
        workers=0, answers_at=5,
    )  # fmt: skip
    assert (tally.made, tally.failures, looks) == (["a.txt"], [], 5)


@pytest.mark.parametrize("clock_starts_s", [1.0, 1e6])
def test_workers_that_stay_away_end_a_build_wherever_the_clock_began(
    monkeypatch, tmp_path, clock_starts_s
):
    tally, looks = looked(
        monkeypatch, tmp_path, clock_starts_s=clock_starts_s, step_s=building.NO_WORKER_S / 10,
        workers=0, answers_at=50,
    )  # fmt: skip
    assert (tally.made, len(tally.failures)) == ([], 1)
    assert 1 < looks < 50


def test_a_long_job_is_waited_for_while_there_are_workers(monkeypatch, tmp_path):
    tally, looks = looked(
        monkeypatch, tmp_path, clock_starts_s=1.0, step_s=2 * building.NO_WORKER_S,
        workers=1, answers_at=20,
    )  # fmt: skip
    assert (tally.made, tally.failures, looks) == (["a.txt"], [], 20)


def test_a_job_that_was_cancelled_under_us_is_tried_again(tmp_path):
    class Cancelling(ThreadPoolExecutor):
        cancelled = 0

        def submit(self, *words):
            if not self.cancelled:
                self.cancelled += 1
                future = Future()
                future.cancel()
                future.set_running_or_notify_cancel()
                return future
            return super().submit(*words)

    tally = run(tmp_path, Site(lambda: Cancelling(1), 1))
    assert (tally.made, tally.failures) == (["a.txt"], [])


def test_a_broken_executors_workers_have_ended_before_the_next_begins(tmp_path):
    events = []

    class Broken(ThreadPoolExecutor):
        def submit(self, *_):
            raise BrokenExecutor("broken before")

        def shutdown(self, wait=True, **more):
            super().shutdown(wait, **more)
            events.append("ended" if wait else "left")

    def new_executor():
        events.append("began")
        return Broken(1) if len(events) == 1 else ThreadPoolExecutor(1)

    assert run(tmp_path, Site(new_executor, 1)).made == ["a.txt"]
    assert events == ["began", "ended", "began"]
