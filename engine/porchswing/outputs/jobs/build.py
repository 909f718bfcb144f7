"""A build: make what is to do, prune, state what is there. Lessons and courses are made by it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from porchswing.errors import OutputError
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.builder import Builder, Tally
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Describe, Failure, Job


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
        What the manifest says of the whole.
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
        tally = builder.run(jobs, count) if jobs else Tally()
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
