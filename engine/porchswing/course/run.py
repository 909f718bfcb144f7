"""A course from its file to its folder: plan, make only what changed, prune, state it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from porchswing.course.course_model import Course
from porchswing.course.course_pages import last_names, last_texts, write_last
from porchswing.course.course_plan import Plan, make_plan, to_do
from porchswing.course.tune_job import TuneJob
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary, build
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Failure


@dataclass(frozen=True, slots=True)
class Todo:
    """A plan held against a folder: the ``jobs`` to do, and files in the way that are not ours.

    ``last`` names the index and the playlist where they are to be written.
    """

    plan: Plan
    jobs: tuple[TuneJob, ...]
    strangers: tuple[Failure, ...]
    last: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of every file there shall be, index and playlist among them."""
        return (*self.plan.names, *last_names(self.plan))

    @property
    def files(self) -> int:
        """How many files are to be made."""
        return sum(len(job.outputs) for job in self.jobs) + len(self.last)


def find_todo(course: Course, folder: OutputFolder, *, verify: bool = False) -> Todo:
    """Plan a course and hold the plan against a folder."""
    plan = make_plan(course)
    jobs: list[TuneJob] = []
    strangers: list[Failure] = []
    for job in to_do(plan, folder, verify=verify):
        obstacles = {name: folder.obstacle(folder.folder / name) for name in job.outputs}
        strangers += [Failure(name, each) for name, each in obstacles.items() if each]
        if free := tuple(output for output in job.wanted if not obstacles[output.name]):
            jobs.append(replace(job, wanted=free))
    failed = {failure.file for failure in (*plan.failures, *strangers)}
    texts = last_texts(course, plan, failed)
    last = tuple(name for name, text in texts.items() if not folder.holds_text(name, text))
    return Todo(plan, tuple(jobs), tuple(strangers), last)


def build_course(
    course: Course,
    todo: Todo,
    folder: OutputFolder,
    site: Site,
    *,
    keep_going: bool = True,
    prune: bool = False,
    on_progress: Callable[[float, str], None] = lambda share, made: None,
) -> Summary:
    """Make what is to do; the caller holds the folder's lock."""
    plan = todo.plan
    return build(
        todo.jobs,
        folder,
        site,
        plan.origin,
        names=todo.names,
        about={"title": course.title, "course": Path(course.file).name},
        failures=(*plan.failures, *todo.strangers),
        keep_going=keep_going,
        prune=prune,
        finish=partial(write_last, course, plan, folder),
        last_names=last_names(plan),
        on_progress=on_progress,
    )
