"""A course from its file to its folder: plan, make only what changed, prune, state it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from porchswing.course.build import Builder, Tally
from porchswing.course.executors import Site
from porchswing.course.model import Course
from porchswing.course.plan import Failure, Job, Plan, make_plan, to_do
from porchswing.outputs import OutputFolder


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
    jobs: tuple[Job, ...]
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
        blocked = [
            output
            for output in job.outputs
            if not folder.force
            and (path := folder.folder / output.name).exists()
            and not folder.is_ours(path)
        ]
        for output in blocked:
            message = "exists and is not an unchanged earlier output; --force replaces it"
            strangers.append(Failure(output.name, message))
        free = job.without(blocked)
        if free.outputs:
            jobs.append(free)
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
    builder = Builder(
        plan, folder, place.new_executor, in_flight=place.in_flight, keep_going=keep_going
    )
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
        audio_s=tally.audio_s,
        work_s=tally.work_s,
        peak_bytes=tally.peak_bytes,
    )
