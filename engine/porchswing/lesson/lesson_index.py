"""The last files of a lesson: the student's folder as one zip, and the index page.

They are made last, of what is there: the index names what failed, and a zip is made only of a whole
student's folder. The zip has no times of day in it, so that the same files make the same bytes.
"""

from __future__ import annotations

import zipfile
from collections.abc import Sequence, Set as AbstractSet

from porchswing.lesson.lesson_job import (
    COMPARE,
    DRILLS,
    GROUPS,
    PLAY_ALONG,
    PRACTISE,
    STUDENT,
    LessonJob,
    drill_name,
)
from porchswing.lesson.practice_plan import CARE, PlanStep, practice_plan
from porchswing.lesson.source import LessonSource
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.manifest import digest_of, engine_digest
from porchswing.pages.index_page import IndexGroup, IndexRow, IndexStep, index_page
from porchswing.theory.notes import with_signs

INDEX = "index.html"
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def zip_name(source: LessonSource) -> str:
    """Return the name of the student's zip."""
    return f"{source.stem}-{STUDENT}.zip"


def write_last(
    source: LessonSource, jobs: Sequence[LessonJob], folder: OutputFolder, failed: AbstractSet[str]
) -> list[str]:
    """Write the zip and the index where they are not current; return what was written."""
    inside = [each for job in jobs for each in job.outputs if each.startswith(f"{STUDENT}/")]
    is_whole = failed.isdisjoint(inside)
    zipped = _write_zip(source, inside, folder) if is_whole else []
    zip_bytes = (folder.folder / zip_name(source)).stat().st_size if is_whole else 0
    text = _index_text(source, jobs, zip_bytes, failed)
    about = {"chart": source.chart_name, "kind": "index"}
    return [*zipped, *folder.write_text(INDEX, text, about)]


def _write_zip(source: LessonSource, inside: Sequence[str], folder: OutputFolder) -> list[str]:
    """Write the files of the student's folder as one zip."""
    name = zip_name(source)
    contents = [[each, folder.entries[each].sha256] for each in inside]
    digest = digest_of([engine_digest(), contents])
    path = folder.folder / name
    if folder.is_current(path, digest):
        return []
    made_from = {"chart": source.chart_name, "kind": "zip"}
    with (
        folder.making(path, digest, made_from) as part,
        zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive,
    ):
        for each in inside:
            info = zipfile.ZipInfo(f"{source.stem}/{each.removeprefix(f'{STUDENT}/')}", _NO_TIME)
            archive.writestr(info, (folder.folder / each).read_bytes(), zipfile.ZIP_DEFLATED)
    return [name]


def _index_text(
    source: LessonSource, jobs: Sequence[LessonJob], zip_bytes: int, failed: AbstractSet[str]
) -> str:
    """Return the index page; there is no zip where it has no bytes, and no link to what failed."""
    page = next(job for job in jobs if job.group == PRACTISE)
    lead = IndexRow(page.outputs[0], "Practise", page.words)
    words = f"Page and handouts in one file, {zip_bytes / 1e6:.1f} MB."
    take_home = IndexRow(zip_name(source), "To take home", words)
    hear, groups = _groups(jobs, page, failed)
    steps = [_step(source, page.outputs[0], step, failed) for step in practice_plan(source.drills)]
    chart = source.lead.chart
    student = f"for {source.student}: " if source.student else ""
    by = student + (f"by {chart.by}, " if chart.by else "")
    key = f"{with_signs(str(chart.key.tonic))} {chart.key.mode}"
    facts = f"{by}{key}, {chart.meter}, {source.take.tempo_bpm:g} beats a minute"
    return index_page(
        chart.title,
        facts,
        None if lead.name in failed else lead,
        take_home if zip_bytes else None,
        steps,
        hear,
        groups,
        CARE,
        [f"{job.group}: {job.title}" for job in jobs if not failed.isdisjoint(job.outputs)],
    )


def _groups(
    jobs: Sequence[LessonJob], page: LessonJob, failed: AbstractSet[str]
) -> tuple[IndexGroup | None, list[IndexGroup]]:
    """Return what is open, to be heard first, and the folded groups."""
    compare = next((job for job in jobs if job.kind == "compare"), None)
    groups = []
    for heading, words in GROUPS.items():
        own = [job for job in jobs if job.group == heading and job not in (page, compare)]
        shown = (  # all stems get a line of their own, else the first file does
            (job, name)
            for job in own
            for name in (job.outputs if job.kind == "stems" else job.outputs[:1])
        )
        rows = tuple(_index_row(job, name) for job, name in shown if name not in failed)
        if heading == COMPARE:
            heading, words = "One swap at a time", "The same bars without it and with it."
        if rows:
            groups.append(IndexGroup(heading, words, rows))
    if compare is not None and compare.outputs[0] not in failed:
        rows = (_index_row(compare, compare.outputs[0]),)
        return IndexGroup(COMPARE, GROUPS[COMPARE], rows), groups
    tracks = next((each for each in groups if each.heading == PLAY_ALONG), None)
    return tracks, [each for each in groups if each is not tracks]


def _step(source: LessonSource, page: str, step: PlanStep, failed: AbstractSet[str]) -> IndexStep:
    """Return a step of the plan as a link into the page, or to its track."""
    link = ""
    if step.task is not None and page not in failed:
        link = f"{page}#{step.task.address}".rstrip("#")
    elif step.track and (not source.groups or DRILLS in source.groups):
        track = f"{drill_name(source, step.track)}.{source.formats[0]}"
        link = "" if track in failed else track
    minutes = f"{step.minutes} min" if step.minutes else ""
    return IndexStep(minutes, with_signs(step.words), link)


def _index_row(job: LessonJob, name: str) -> IndexRow:
    if job.kind == "stems":
        return IndexRow(name, f"Stem: {name.split('.')[-2]}", has_player=False)
    return IndexRow(name, job.title, job.words)
