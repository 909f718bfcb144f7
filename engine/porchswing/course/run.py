"""A course from its file to its folder: plan, make only what changed, prune, state it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from porchswing.course.course_model import Course
from porchswing.course.course_plan import Plan, TuneJob, make_plan, to_do
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.builder import Builder, Tally
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Failure


@dataclass(frozen=True, slots=True)
class Summary:
    """What a build came to, in files; ``edited`` are outputs somebody changed, left alone."""

    planned: int
    kept: int
    made: tuple[str, ...]
    failed: tuple[Failure, ...]
    removed: tuple[str, ...] = ()
    edited: tuple[str, ...] = ()
    audio_s: float = 0.0
    work_s: float = 0.0
    peak_bytes: int = 0


@dataclass(frozen=True, slots=True)
class Todo:
    """A plan held against a folder: the ``jobs`` to do, and files in the way that are not ours."""

    plan: Plan
    jobs: tuple[TuneJob, ...]
    strangers: tuple[Failure, ...]

    @property
    def files(self) -> int:
        """How many files are to be made."""
        return sum(len(job.outputs) for job in self.jobs)


def find_todo(course: Course, folder: OutputFolder, *, verify: bool = False) -> Todo:
    """Plan a course and hold the plan against a folder."""
    plan = make_plan(course)
    jobs, strangers = [], []
    for job in to_do(plan, folder, verify=verify):
        blocked = {}
        for name in job.outputs:
            if obstacle := folder.obstacle(folder.folder / name):
                blocked[name] = obstacle
        strangers += [Failure(name, obstacle) for name, obstacle in blocked.items()]
        free = tuple(output for output in job.wanted if output.name not in blocked)
        if free:
            jobs.append(replace(job, wanted=free))
    return Todo(plan, tuple(jobs), tuple(strangers))


def build_course(
    course: Course,
    todo: Todo,
    folder: OutputFolder,
    place: Site,
    *,
    keep_going: bool = True,
    prune: bool = False,
    tell: Callable[[int], None] = lambda files: None,
) -> Summary:
    """Make what is to do; the caller holds the folder's lock.

    Whatever ends it, Ctrl-C included, the manifest states what is there. Nothing is pruned
    while anything failed: a chart that cannot be read today is still asked for.
    """
    plan = todo.plan
    builder = Builder(folder, place, plan.origin, keep_going=keep_going)
    removed: list[str] = []
    edited: list[str] = []
    try:
        tally = builder.run(todo.jobs, tell) if todo.jobs else Tally()
        failed = (*plan.failures, *todo.strangers, *tally.failures)
        if prune and not failed:
            removed, edited = folder.prune(plan.names)
    finally:
        folder.write_manifest({"title": course.title, "course": Path(course.file).name})
    return Summary(
        planned=len(plan.names),
        kept=len(plan.names) - todo.files - len(todo.strangers),
        made=tuple(tally.made),
        failed=failed,
        removed=tuple(removed),
        edited=tuple(edited),
        audio_s=sum(told.audio_s for told in tally.told),
        work_s=tally.work_s,
        peak_bytes=tally.peak_bytes,
    )
