"""Running jobs in any executor; the builder alone puts their files in place.

Written against :class:`concurrent.futures.Executor`. A worker that dies takes its whole process
pool with it, and nobody can say which of the jobs running then was to blame: the pool is
replaced and those jobs are tried again one at a time, up to :data:`MAX_TRIES` in all.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Iterable
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    wait,
)
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from porchswing.errors import OutputError
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Describe, Failure, Job, Result
from porchswing.outputs.jobs.worker import run_job

MAX_TRIES = 3
"""A job whose worker died is tried again twice, then reported."""


@dataclass(slots=True)
class Tally:
    """What came of a build so far; ``told`` holds what each finished job returned."""

    made: list[str] = field(default_factory=list)
    failures: list[Failure] = field(default_factory=list)
    told: list[Any] = field(default_factory=list)
    work_s: float = 0.0
    peak_bytes: int = 0


class Builder:
    """Runs jobs in executors and takes their files into a folder that is locked for it.

    Parameters
    ----------
    folder
        Where files go; the caller holds its lock.
    site
        Where jobs run; another executor is asked of it when a worker's death broke the last.
    describe
        Says of each output what it was made from, once its job is done.
    keep_going
        Go on after a failure.
    """

    def __init__(
        self, folder: OutputFolder, site: Site, describe: Describe, *, keep_going: bool = True
    ) -> None:
        self.tally = Tally()
        self._folder = folder
        self._site = site
        self._describe = describe
        self._keep_going = keep_going
        self._waiting: deque[Job] = deque()
        self._suspects: deque[Job] = deque()
        self._tries: Counter[int] = Counter()
        self._running: dict[Future[Result], tuple[Job, list[Path]]] = {}
        self._parts: set[Path] = set()  # of jobs not wholly settled, wherever Ctrl-C may strike

    def run(self, jobs: Iterable[Job], tell: Callable[[int], None] = lambda files: None) -> Tally:
        """Make every job's files; ``tell`` hears how many files each finished job settled."""
        self._waiting.extend(jobs)
        executor = self._site.new_executor()
        try:
            while self._waiting or self._suspects or self._running:
                if not self._hand_out(executor):
                    executor.shutdown(wait=True)
                    executor = self._site.new_executor()
                    continue
                done, _ = wait(self._running, return_when=FIRST_COMPLETED)
                for future in done:
                    self._settle(future, tell)
                if self.tally.failures and not self._keep_going:
                    self._waiting.clear()
                    self._suspects.clear()
        finally:
            for future in self._running:
                future.cancel()
            executor.shutdown(wait=True)
            _remove(self._parts)
        return self.tally

    def _hand_out(self, executor: Executor) -> bool:
        """Submit waiting jobs; say whether the executor still takes any.

        A suspect runs alone, so that the next death has one name.
        """
        try:
            while (
                self._waiting and len(self._running) < self._site.in_flight and not self._suspects
            ):
                self._submit(executor, self._waiting[0])
                self._waiting.popleft()
            if self._suspects and not self._running:
                self._submit(executor, self._suspects[0])
                self._suspects.popleft()
        except BrokenExecutor:
            return bool(self._running)
        return True

    def _submit(self, executor: Executor, job: Job) -> None:
        parts = [self._folder.work_path(self._folder.folder / name) for name in job.outputs]
        self._parts.update(parts)
        future = executor.submit(run_job, job, [str(part.absolute()) for part in parts])
        self._tries[id(job)] += 1
        self._running[future] = (job, parts)

    def _settle(self, future: Future[Result], tell: Callable[[int], None]) -> None:
        job, parts = self._running.pop(future)
        error = _error_of(future)
        if error is not None:
            _remove(parts)
            if self._tries[id(job)] < MAX_TRIES:
                self._suspects.append(job)
                return
            self._fail(job, f"its worker died {MAX_TRIES} times ({error})")
        else:
            self._take_in(job, parts, future.result())
        self._parts.difference_update(parts)
        tell(len(job.outputs))

    def _take_in(self, job: Job, parts: list[Path], result: Result) -> None:
        tally = self.tally
        tally.work_s += result.work_s
        tally.peak_bytes = max(tally.peak_bytes, result.peak_bytes)
        if result.error:
            self._fail(job, result.error)
            return
        tally.told.append(result.told)
        for name, part, sha256 in zip(job.outputs, parts, result.sha256s, strict=True):
            path = self._folder.folder / name
            origin = self._describe(job, name, result.told)
            try:
                self._folder.refuse_strangers([path])
                self._folder.adopt(part, path, origin.digest, origin.made_from, sha256)
                tally.made.append(name)
            except OutputError as error:
                _remove([part])
                tally.failures.append(Failure(name, str(error)))

    def _fail(self, job: Job, message: str) -> None:
        self.tally.failures.extend(Failure(name, message) for name in job.outputs)


def _error_of(future: Future[Result]) -> BaseException | None:
    try:
        return future.exception()
    except CancelledError as error:
        return error


def _remove(parts: Iterable[Path]) -> None:
    for part in parts:
        with suppress(OSError):
            part.unlink(missing_ok=True)
