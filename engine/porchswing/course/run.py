"""A course from its file to its folder: plan, estimate, make only what changed, prune, state it.

How long it will take and how much disk is estimated from rates measured on this machine: one job of
the plan is really made, in a temporary folder, and timed; the others are taken to cost as much for
each second of their recordings. Their lengths follow from the charts. Where none is worth making,
the recordings' sizes are those of their formats.

Where ``pages = true`` it hands out practice pages and handouts, made by the lesson's own makers,
one of each for every key. The index and the playlist are written last, from the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence, Set as AbstractSet
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.course.course_file import Course
from porchswing.course.course_plan import Plan, make_plan
from porchswing.course.tune_job import PAGES, TuneJob
from porchswing.errors import PorchswingError
from porchswing.file_formats import BY_SUFFIX
from porchswing.grips.shapes.tunings import tuning_word
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary, build
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Failure
from porchswing.outputs.jobs.worker import run_job
from porchswing.outputs.manifest import engine_digest
from porchswing.pages.index_page import IndexGroup, IndexRow, course_page
from porchswing.recording import is_sound, suffix_of
from porchswing.take import road_of
from porchswing.theory.notes import with_signs
from porchswing.units import counted

INDEX, PLAYLIST = "index.html", "playlist.m3u8"

LONG_S = 3600.0
"""A build of so many seconds of recordings takes long enough to be worth an estimate."""

RING_S = 3.0
"""About how long the last sound rings on (our own recordings; only an estimate rests on it)."""


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
        return (*self.plan.names, *_last_names(self.plan))

    @property
    def files(self) -> int:
        """How many files are to be made."""
        return sum(len(job.outputs) for job in self.jobs) + len(self.last)


def find_todo(course: Course, folder: OutputFolder, *, verify: bool = False) -> Todo:
    """Plan a course and hold the plan against a folder."""
    plan = make_plan(course)
    jobs: list[TuneJob] = []
    strangers: list[Failure] = []
    for job in plan.jobs:
        stale = [each for each in job.wanted if not plan.is_current(each, folder, verify=verify)]
        obstacles = {each.name: folder.obstacle(folder.folder / each.name) for each in stale}
        strangers += [Failure(name, each) for name, each in obstacles.items() if each]
        if free := tuple(output for output in stale if not obstacles[output.name]):
            jobs.append(replace(job, wanted=free))
    failed = {failure.file for failure in (*plan.failures, *strangers)}
    texts = _last_texts(course, plan, failed)
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
        finish=partial(_write_last, course, plan, folder),
        last_names=_last_names(plan),
        on_progress=on_progress,
    )


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the jobs of a plan come to: recordings in seconds, work in seconds, disk in bytes.

    ``work_s`` is for one worker; several share it. It is 0 where no job was measured; the disk is
    then that of the recordings alone, by the rates of their formats.
    """

    audio_s: float
    work_s: float
    size_bytes: int


def estimate(jobs: Sequence[TuneJob], least_s: float = 0.0) -> Estimate:
    """Return the estimate for some jobs; measure none for under ``least_s`` of recordings.

    The shortest of the first jobs that can be read is the one measured.
    """
    lengths = [_length_s(job) for job in jobs]
    sample = sorted((s, i) for i, s in enumerate(lengths[:50]) if s)
    if not sample:
        return Estimate(0.0, 0.0, 0)
    recordings = [
        (length_s, BY_SUFFIX[suffix_of(Path(name))], job.choices.sound)
        for length_s, job in zip(lengths, jobs, strict=True)
        for name in job.outputs
        if is_sound(Path(name))
    ]
    audio_s = sum(length_s for length_s, _, _ in recordings)
    length_s, index = sample[0]
    measured = _measure(jobs[index]) if audio_s >= least_s else None
    if measured is None:
        sizes = (s * row.bytes_per_s(own.rate_hz, own.bit_depth) for s, row, own in recordings)
        return Estimate(audio_s, 0.0, round(sum(sizes)))
    work_s, size_bytes = measured
    share = sum(s * len(job.outputs) for s, job in zip(lengths, jobs, strict=True))
    share /= length_s * len(jobs[index].outputs)
    return Estimate(audio_s, work_s * share, round(size_bytes * share))


def _length_s(job: TuneJob) -> float:
    """Return about how long one recording of a job is; 0 where its chart cannot be read."""
    try:
        chart = _parsed(job.chart_text, job.chart_name)
        roadmap = road_of(chart, job.choices)
    except PorchswingError:
        return 0.0
    felt_bpm = job.choices.style.felt_bpm(chart.tempo_bpm)
    count_in = job.choices.style.count_in_bars
    bars = 2 if count_in is None else count_in
    beats = roadmap.beats + bars * chart.meter.bar_beats
    return float(beats) / float(chart.meter.felt_beats) * 60 / felt_bpm + RING_S


@lru_cache(maxsize=64)
def _parsed(text: str, name: str) -> Chart:
    return parse_chart(text, name)


def _measure(job: TuneJob) -> tuple[float, int] | None:
    """Make a job twice, the second time warm; return its seconds and bytes."""
    with TemporaryDirectory() as folder:
        parts = [
            Path(folder) / f"{index}{Path(name).suffix}" for index, name in enumerate(job.outputs)
        ]
        results = [run_job(job, [str(part) for part in parts], engine_digest()) for _ in range(2)]
        if results[-1].error:
            return None
        return results[-1].work_s, sum(part.stat().st_size for part in parts)


def _last_names(plan: Plan) -> tuple[str, ...]:
    """Return the names of the files made last; none where no tune has pages."""
    has_pages = any(output.mix == PAGES for job in plan.jobs for output in job.wanted)
    return (INDEX, PLAYLIST) if has_pages else ()


def _last_texts(course: Course, plan: Plan, failed: AbstractSet[str]) -> dict[str, str]:
    """Return the texts of the index and the playlist by name; none where no tune has pages.

    Both hold what is there; the index names what failed.
    """
    if not _last_names(plan):
        return {}
    tunes = tuple(_tunes(plan, failed))
    groups = [group for group, _ in tunes]
    return {
        INDEX: course_page(course.title, groups, _counted(plan), sorted(failed)),
        PLAYLIST: _playlist([row for _, sounds in tunes for row in sounds]),
    }


def _write_last(
    course: Course, plan: Plan, folder: OutputFolder, failed: AbstractSet[str]
) -> list[str]:
    """Write the index and the playlist where they are not current; return what was written."""
    return [
        written
        for name, text in _last_texts(course, plan, failed).items()
        for written in folder.write_text(name, text, {"course": Path(course.file).name})
    ]


def _counted(plan: Plan) -> str:
    """Return how many tunes a course has, and how many lessons where it is a series."""
    tunes = len({job.chart_name for job in plan.jobs})
    lessons = len({job.lesson.number for job in plan.jobs if job.lesson is not None})
    found = [counted(lessons, "lesson")] if lessons else []
    return " on ".join([*found, counted(tunes, "tune")])


def _tunes(plan: Plan, failed: AbstractSet[str]) -> Iterator[tuple[IndexGroup, list[IndexRow]]]:
    """Yield each chart's files, lesson by lesson: page and handouts first, then its recordings."""
    by_chart: dict[tuple[int, str], list[TuneJob]] = {}
    for job in plan.jobs:
        number = job.lesson.number if job.lesson is not None else 0
        by_chart.setdefault((number, job.chart_name), []).append(job)
    for (number, name), jobs in by_chart.items():
        title, by = _title(name, jobs[0].chart_text)
        if (lesson := jobs[0].lesson) is not None:
            title = f"{title}: {lesson.title}"
            by = f"Lesson {number}{f', {by}' if by else ''}"
        pages, sounds = [], []
        for job in jobs:
            tuning, key, bpm = job.choices.tuning, job.choices.key, job.choices.style.tempo_bpm
            about = f", {tuning_word(tuning)}" if tuning is not None else ""
            about += f", in {with_signs(key)}" if key else ""
            tempo = f", {bpm:g} bpm" if bpm else ""
            for output in (each for each in job.wanted if each.name not in failed):
                if output.mix == PAGES:
                    pages.append(IndexRow(output.name, f"{_what(output.name)}{about}"))
                elif is_sound(Path(output.name)):
                    sounds.append(
                        IndexRow(output.name, f"{title}: {output.mix.name}{about}{tempo}")
                    )
        if pages or sounds or not failed:
            yield IndexGroup(title, by, (*pages, *sounds)), sounds


def _title(name: str, text: str) -> tuple[str, str]:
    try:
        chart = _parsed(text, name)
    except PorchswingError:
        return name, ""
    return chart.title, f"by {chart.by}" if chart.by else ""


def _what(name: str) -> str:
    paper = "A4" if name.endswith("-a4.pdf") else "Letter"
    return "Practice page" if name.endswith(".html") else f"Handout ({paper})"


def _playlist(sounds: Sequence[IndexRow]) -> str:
    """Return an extended M3U playlist in UTF-8, lengths unknown (-1)."""
    rows = (f"#EXTINF:-1,{' '.join(row.title.split())}\n{row.name}" for row in sounds)
    return "\n".join(["#EXTM3U", *rows, ""])
