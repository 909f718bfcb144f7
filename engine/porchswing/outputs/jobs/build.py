"""A build: jobs run in any executor, and their files put in place by this process alone.

Lessons and courses are made by :func:`build`, which prunes and states what is there as well. It is
written against :class:`concurrent.futures.Executor`. A worker that dies takes its whole process
pool with it, and any of the jobs running then may be to blame: the pool is replaced and those jobs
are tried again one at a time, up to :data:`MAX_TRIES` in all. A worker of a cluster is accepted
only with the builder's own engine (its digest travels with every job).
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    wait,
)
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic
from typing import Any

from porchswing.errors import OutputError
from porchswing.outputs.folder import Finished, OutputFolder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Describe, Failure, Job, Result
from porchswing.outputs.jobs.worker import run_job
from porchswing.outputs.manifest import engine_digest

MAX_TRIES = 3
"""A job whose worker died is tried again twice, then reported."""

BATCH_S = 0.5
"""Finished files are put in place together, at most this long after the first: one journal sync."""

NO_WORKER_S = 20.0
"""A build ends when it has had no worker for this long."""

_LOOK_S = 1.0


@dataclass(slots=True)
class Tally:
    """What came of a build so far; ``returned`` holds what each finished job returned."""

    made: list[str] = field(default_factory=list)
    failures: list[Failure] = field(default_factory=list)
    returned: list[Any] = field(default_factory=list)
    work_s: float = 0.0
    peak_bytes: int = 0


class Builder:
    """Runs jobs in executors and takes their files into a folder that is locked for it.

    Parameters
    ----------
    folder
        Where files go; the caller holds its lock.
    site
        Where jobs run; it gives another executor when a worker's death broke the last.
    describe
        Returns what an output was made from, once its job is done.
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
        self._alone: Future[Result] | None = None  # of the suspect that ran last
        self._tries: Counter[int] = Counter()
        self._running: dict[Future[Result], tuple[Job, list[Path]]] = {}
        self._finished: list[Finished] = []
        self._last_taken_s = monotonic()
        self._last_worker_s = monotonic()
        self._is_deserted = False
        self._parts: set[Path] = set()  # of jobs not wholly settled, wherever Ctrl-C may strike

    def run(
        self, jobs: Iterable[Job], on_settled: Callable[[Job], None] = lambda job: None
    ) -> Tally:
        """Make every job's files; ``on_settled`` is called with each finished job."""
        self._waiting.extend(jobs)
        executor = self._site.new_executor()
        try:
            while self._waiting or self._suspects or self._running:
                if not self._hand_out(executor):
                    executor.shutdown(wait=True)
                    executor = self._site.new_executor()
                    continue
                done, _ = wait(self._running, _LOOK_S, return_when=FIRST_COMPLETED)
                for future in [each for each in self._running if each in done]:  # as handed out
                    self._settle(future, on_settled)
                if not self._running or monotonic() - self._last_taken_s > BATCH_S:
                    self._take_in()
                self._end_without_workers(bool(done))
                if self.tally.failures and not self._keep_going:
                    self._waiting.clear()
                    self._suspects.clear()
            self._take_in()
        finally:
            for future in self._running:
                future.cancel()
            executor.shutdown(wait=not self._is_deserted)  # nobody is left to wait for
            self._folder.discard(self._parts)
        return self.tally

    def _hand_out(self, executor: Executor) -> bool:
        """Submit waiting jobs; return whether the executor still takes any.

        A suspect runs alone, so that the next death has one name.
        """
        try:
            while self._waiting and self._has_room():
                self._submit(executor, self._waiting[0])
                self._waiting.popleft()
            if self._suspects and not self._running:
                self._alone = self._submit(executor, self._suspects[0])
                self._suspects.popleft()
        except BrokenExecutor:
            return bool(self._running)
        return True

    def _has_room(self) -> bool:
        """Return whether a job may run beside those that run now."""
        is_suspected = bool(self._suspects) or self._alone in self._running
        return not is_suspected and len(self._running) < self._site.in_flight

    def _submit(self, executor: Executor, job: Job) -> Future[Result]:
        parts = [self._folder.work_path(self._folder.folder / name) for name in job.outputs]
        self._parts.update(parts)
        paths = [str(part.absolute()) for part in parts]
        future = executor.submit(run_job, job, paths, engine_digest())
        self._tries[id(job)] += 1
        self._running[future] = (job, parts)
        return future

    def _settle(self, future: Future[Result], on_settled: Callable[[Job], None]) -> None:
        job, parts = self._running.pop(future)
        error = CancelledError() if future.cancelled() else future.exception()
        if error is None:
            self._finish(job, parts, future.result())
        else:
            self._drop(parts)
            if not _is_death(error):
                self._fail(job, f"no worker could run it ({type(error).__name__}: {error})")
            elif self._tries[id(job)] < MAX_TRIES:
                self._suspects.append(job)
                return
            else:
                self._fail(job, f"its worker died {MAX_TRIES} times ({error})")
        on_settled(job)

    def _finish(self, job: Job, parts: list[Path], result: Result) -> None:
        """Keep what a job made for the next batch, or report its error."""
        tally = self.tally
        tally.work_s += result.work_s
        tally.peak_bytes = max(tally.peak_bytes, result.peak_bytes)
        if result.error:
            self._drop(parts)
            self._fail(job, result.error)
            return
        tally.returned.append(result.returned)
        for name, part, sha256 in zip(job.outputs, parts, result.sha256s, strict=True):
            origin = self._describe(job, name, result.returned)
            path = self._folder.folder / name
            self._finished.append(Finished(part, path, origin.digest, origin.made_from, sha256))

    def _take_in(self) -> None:
        """Put all finished files in place; workers have synced them."""
        batch, self._finished = self._finished, []
        failed = self._folder.adopt(batch, is_synced=True) if batch else []
        errors = {file.path: error for file, error in failed}
        for file in batch:
            name = file.path.relative_to(self._folder.folder).as_posix()
            if file.path in errors:
                self.tally.failures.append(Failure(name, str(errors[file.path])))
            else:
                self.tally.made.append(name)
        self._drop([file.part for file in batch])
        self._last_taken_s = monotonic()

    def _end_without_workers(self, has_answered: bool) -> None:
        """Give up what is left when the site has had no worker for :data:`NO_WORKER_S`."""
        if has_answered or self._site.count_workers() > 0:
            self._last_worker_s = monotonic()
        elif monotonic() - self._last_worker_s > NO_WORKER_S:
            self._is_deserted = True
            message = f"no worker was left for {NO_WORKER_S:g} s; finished files are kept"
            for future, (job, parts) in self._running.items():
                future.cancel()
                self._drop(parts)
                self._fail(job, message)
            for job in (*self._suspects, *self._waiting):
                self._fail(job, message)
            self._running.clear()
            self._suspects.clear()
            self._waiting.clear()

    def _drop(self, parts: list[Path]) -> None:
        self._folder.discard(parts)
        self._parts.difference_update(parts)

    def _fail(self, job: Job, message: str) -> None:
        self.tally.failures.extend(Failure(name, message) for name in job.outputs)


def _is_death(error: BaseException) -> bool:
    """Return whether an error says that a worker died, not that it refused the job."""
    return isinstance(error, BrokenExecutor | CancelledError) or "Killed" in type(error).__name__


@dataclass(frozen=True, slots=True)
class Summary:
    """What a build came to, in files; ``edited`` are outputs somebody changed, left alone.

    ``audio_s`` is the length of the recordings made, ``work_s`` what the workers took together,
    ``peak_bytes`` the memory of the largest worker.
    """

    planned: int
    kept: int
    made: tuple[str, ...]
    failed: tuple[Failure, ...]
    removed: tuple[str, ...]
    edited: tuple[str, ...]
    audio_s: float
    work_s: float
    peak_bytes: int


def build(
    jobs: Sequence[Job],
    folder: OutputFolder,
    site: Site,
    describe: Describe,
    *,
    names: Sequence[str],
    about: Mapping[str, str],
    failures: Sequence[Failure] = (),
    keep_going: bool = True,
    prune: bool = False,
    finish: Callable[[frozenset[str]], list[str]] = list,
    last_names: Sequence[str] = (),
    on_progress: Callable[[float, str], None] = lambda share, made: None,
) -> Summary:
    """Make the files of jobs in a folder; the caller holds its lock.

    Whatever ends it, Ctrl-C included, the manifest states what is there. Nothing is pruned while
    anything failed: what cannot be read today is still asked for.

    Parameters
    ----------
    jobs, folder, site, describe
        What is to do, where to, in which executors, and what each output was made from.
    names
        Every file there shall be, kept ones too; ``prune`` removes our others.
    about
        What the manifest records about the whole.
    failures
        What failed before any work; a file of ours that is in the way has its own name there.
    finish
        Makes the last files, such as an index, of what is there, and returns the names of those it
        wrote; it is called with the names of the files that failed, unless the first failure ended
        the build.
    last_names
        The names among ``names`` that ``finish`` makes.
    on_progress
        Called with the share done, 0 to 1, and the name of a file made last.
    """
    files = sum(len(job.outputs) for job in jobs)
    settled = 0

    def count(job: Job) -> None:
        nonlocal settled
        settled += len(job.outputs)
        on_progress(settled / files, job.outputs[0])

    removed: list[str] = []
    edited: list[str] = []
    last: list[str] = []
    try:
        builder = Builder(folder, site, describe, keep_going=keep_going)
        tally = builder.run(jobs, count) if jobs else builder.tally
        failed = (*failures, *tally.failures)
        try:
            if keep_going or not failed:
                last = finish(frozenset(failure.file for failure in failed))
        except OutputError as error:
            if not failed:
                raise
            failed = (*failed, *(Failure(name, str(error)) for name in last_names[:1]))
        if prune and not failed:
            removed, edited = folder.prune(names)
    finally:
        folder.write_manifest(dict(about))
    not_kept = {name for job in jobs for name in job.outputs}
    not_kept |= {*last, *(failure.file for failure in failed)}
    not_kept |= {name for name in last_names if not (folder.folder / name).exists()}
    return Summary(
        planned=len(names),
        kept=len(set(names) - not_kept),
        made=(*tally.made, *last),
        failed=failed,
        removed=tuple(removed),
        edited=tuple(edited),
        audio_s=sum(returned.audio_s for returned in tally.returned if returned is not None),
        work_s=tally.work_s,
        peak_bytes=tally.peak_bytes,
    )
