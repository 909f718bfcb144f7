"""A whole lesson in one folder: what there shall be, made in parallel, only what changed.

Every file is known by the digest of all that went into it: the chart's text, the choices, the
patterns it plays, what kind of thing it is, and the engine's own code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from importlib.util import find_spec
from typing import Any

from porchswing.errors import OptionError, missing_extra
from porchswing.lesson.drill_source import page_bars
from porchswing.lesson.lesson_index import INDEX, write_last, zip_name
from porchswing.lesson.lesson_job import (
    COMPARE,
    DRILLS,
    PLAY_ALONG,
    PRACTISE,
    PRINT,
    STUDENT,
    TEACHER,
    LessonJob,
    drill_name,
)
from porchswing.lesson.source import MIX_WORDS, MIXES, LessonSource
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary, build
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Origin
from porchswing.outputs.manifest import digest_of
from porchswing.outputs.names import check_unique, file_word
from porchswing.pages.cues import KINDS, SENTENCE, WORDS, has_words
from porchswing.pages.practice.page_lane import places
from porchswing.pages.practice.practice_page import check_task
from porchswing.rhythm.patterns import pattern_digests
from porchswing.take import road_of
from porchswing.theory.notes import with_signs

MAX_LESSON_BARS = 400
"""Most bars one chorus may have to be made a lesson of."""

STEMS = "flac"
"""Format of the stems: lossless, a third of a WAV."""

ALWAYS = ("practice page", "compare")
"""Kinds of things that every lesson has, whatever groups are asked for."""

SHORT = ("swap", "chart", "musicxml", "words", "cues")
"""Kinds of things that are soon made: left for last, they fill the cores to the end."""

CUE_WORDS = {
    SENTENCE: "WebVTT captions: every grip as a sentence.",
    WORDS: "WebVTT captions: what is sung, bar by bar.",
}
"""What some cues are for, where their name does not show it."""


def lesson_jobs(source: LessonSource) -> tuple[LessonJob, ...]:
    """Return everything a lesson is made of, in the order of the index page."""
    bars = len(road_of(source.chart, source.choices).bars)
    if bars > MAX_LESSON_BARS:
        raise OptionError(
            f"a lesson is made of at most {MAX_LESSON_BARS} bars, {source.chart.title!r} plays "
            f"{bars:,}; ask for a section"
        )
    check_task(source.task, 1 + max(places(page_bars(source.lead.chart, source.choices))))
    used = sorted({name for part in source.take.score.parts for name in part.patterns})
    known = pattern_digests()
    patterns = digest_of([[name, known.get(name)] for name in used])
    pages, tracks = list(_page_rows(source)), list(_track_rows(source))
    rows = [*pages[:2], *tracks[-len(MIXES) :]]
    if not source.quick:
        others = (_compare_rows, _drill_rows, _file_rows)
        rows = [*pages, *tracks, *(row for rows_of in others for row in rows_of(source))]
    check_unique((name, f"{row[3]}: {row[4]}") for row in rows for name in row[2])
    jobs = (
        LessonJob(source, *row, patterns=patterns, number=number)
        for number, row in enumerate(rows, start=1)
    )
    return tuple(job for job in jobs if _is_asked(job))


def _is_asked(job: LessonJob) -> bool:
    """Return whether a lesson that was asked for in part holds a thing."""
    source = job.source
    asked = {_track_argument(source.tempo_bpm(share), mix) for share, mix in source.tracks}
    if job.kind == "track" and asked and job.argument not in asked:
        return False
    return not source.groups or job.kind in ALWAYS or job.group in source.groups


_Row = tuple[str, str, tuple[str, ...], str, str, str]
"""Kind, argument, outputs, group, title and words of a job."""


def _page_rows(source: LessonSource) -> Iterator[_Row]:
    page = (f"{STUDENT}/{source.stem}-practice.html",)
    task = source.page_task
    words = f"Your task: {task}." if task else "Open it, press play, go slowly."
    yield "practice page", "", page, PRACTISE, "Practice page", words
    for paper in source.papers:
        files = (f"{STUDENT}/{source.stem}-handout-{paper}.pdf",)
        yield "handout", paper, files, PRINT, f"Handout ({paper.capitalize()})", ""


def _track_rows(source: LessonSource) -> Iterator[_Row]:
    folder = STUDENT if source.student_tracks else TEACHER
    for tempo in source.tempos_bpm:
        for mix in MIXES:
            name = f"tracks/{source.stem}-{file_word(f'{tempo:g}')}bpm-{mix}"
            files = (*_files(f"{folder}/{name}", source.formats), f"{TEACHER}/{name}.mid")
            title = f"{tempo:g} bpm, {MIX_WORDS[mix]}"
            yield "track", _track_argument(tempo, mix), files, PLAY_ALONG, title, ""


def _track_argument(tempo_bpm: float, mix: str) -> str:
    return f"{tempo_bpm:g} {' '.join(MIXES[mix])}".strip()


def _compare_rows(source: LessonSource) -> Iterator[_Row]:
    folder, formats = f"{TEACHER}/compare", (*source.formats, "mid")
    files = _files(f"{folder}/{source.stem}-compare", formats)
    words = "Section by section, two clicks before."
    yield "compare", "", files, COMPARE, "Plain, then swing", words
    for swap in source.lone_swaps:
        files = _files(f"{folder}/{source.stem}-{file_word(swap.name)}", formats)
        words = (
            f"[{swap.section}] bar {swap.bar}: {' '.join(swap.before)} → {' '.join(swap.after)}. "
            f"{swap.reason}"
        )
        yield "swap", swap.name, files, COMPARE, swap.name, with_signs(words)


def _drill_rows(source: LessonSource) -> Iterator[_Row]:
    for drill in source.drills:
        files = _files(drill_name(source, drill.stem), (*source.formats, "mid", "vtt"))
        title, words = with_signs(drill.title), with_signs(drill.words)
        yield "drill", drill.stem, files, DRILLS, title, words


def _file_rows(source: LessonSource) -> Iterator[_Row]:
    stem, group = source.stem, "Parts and files"
    stems = tuple(f"{TEACHER}/stems/{stem}.{part}.{STEMS}" for part in source.take.parts)
    chart, score = f"{TEACHER}/{stem}.changes", f"{TEACHER}/{stem}.musicxml"
    words = f"{STUDENT}/{stem}-grips_in_words.txt"
    yield from (
        ("stems", "", stems, group, "Stems", "Each part alone, at its level in the mix."),
        ("chart", "", (chart,), group, "The chart", "With both lanes, to edit."),
        ("musicxml", "", (score,), group, "MusicXML", "For a notation program."),
        ("words", "", (words,), group, "Grips in words", "For a screen reader, in order."),
    )
    cues = {kind: f"{kind}s" for kind in (*KINDS, SENTENCE)}
    if has_words(source.chart):
        cues[WORDS] = "words"
    for kind, name in cues.items():
        files = (f"{TEACHER}/cues/{stem}-{name}.vtt",)
        about = CUE_WORDS.get(kind, "WebVTT, true to the band track.")
        yield "cues", kind, files, group, f"Cues: {name}", about


def _files(stem: str, suffixes: Sequence[str]) -> tuple[str, ...]:
    return tuple(f"{stem}.{suffix}" for suffix in dict.fromkeys(suffixes))


# --- making it -----------------------------------------------------------------------------


def check_extras() -> None:
    """Raise where what only a lesson needs is not installed."""
    if find_spec("typst") is None:
        raise missing_extra("a lesson", "lesson")


def make_lesson(
    source: LessonSource,
    folder: OutputFolder,
    site: Site,
    *,
    on_progress: Callable[[float, str], None] = lambda share, made: None,
) -> Summary:
    """Make what is not there yet; the caller holds the folder's lock.

    Files of ours that the lesson no longer has are removed; a quick lesson leaves those of a
    whole one.
    """
    check_extras()
    jobs = lesson_jobs(source)
    todo = [job for job in jobs if not _is_current(job, folder)]
    todo.sort(key=lambda job: job.kind in SHORT)
    last = [INDEX, zip_name(source)]
    names = (*(name for job in todo for name in job.outputs), *last)
    folder.refuse_strangers([folder.folder / name for name in names])
    return build(
        todo,
        folder,
        site,
        _origin,
        names=[*(name for job in jobs for name in job.outputs), *last],
        about={"title": source.chart.title, "chart": source.chart_name},
        prune=not source.quick,
        finish=partial(write_last, source, jobs, folder),
        last_names=last,
        on_progress=on_progress,
    )


def _is_current(job: LessonJob, folder: OutputFolder) -> bool:
    digest = job.digest
    return all(folder.is_current(folder.folder / name, digest) for name in job.outputs)


def _origin(job: LessonJob, output: str, returned: Any) -> Origin:
    made_from = {"chart": job.source.chart_name, "kind": job.kind, "of": job.argument}
    return Origin(job.digest, {name: text for name, text in made_from.items() if text})
