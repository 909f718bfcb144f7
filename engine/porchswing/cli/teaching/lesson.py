"""``porchswing lesson``: the whole pack for one tune in one folder."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from porchswing.cli import base, options
from porchswing.cli.teaching.summary import counts_text, show_failures, summary_facts
from porchswing.cli.tune.render import listed_formats
from porchswing.file_formats import SOUND
from porchswing.options import DRAWINGS, Choices
from porchswing.outputs.names import file_word

if TYPE_CHECKING:
    from porchswing.lesson.reviews import EarlierTune
    from porchswing.outputs.jobs.build import Summary


@base.command(example="porchswing lesson stroll.changes -o lesson/ --key G --tempo 120")
@options.chart_argument
@options.folder_option
@click.option(
    "--formats",
    default="mp3",
    show_default=True,
    metavar="LIST",
    help=f"Sound formats of the tracks, of {','.join(SOUND)}.",
)
@click.option(
    "--task",
    metavar="TEXT",
    help="What the student is to practise, shown on the page: 'bars 21-28 at 70 %, chords mine'.",
)
@click.option(
    "--course",
    "course_path",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="COURSE.toml",
    help="Mark what the tunes before this one in a course brought as known, and review their hard "
    "changes.",
)
@click.option(
    "--student-tracks", is_flag=True, help="Put the tracks into the student's folder and zip too."
)
@click.option("--open", "is_opened", is_flag=True, help="Open the lesson's page when it is made.")
@click.option(
    "--quick",
    is_flag=True,
    help="Only the page, one handout, and the tune with and without chords.",
)
@click.option(
    "--workers", type=click.IntRange(1, 64), metavar="N", help="Processes.  [default: every core]"
)
@options.choice_options(
    *options.EVERYTHING,
    DRAWINGS,
    refused={
        "only": "makes a mix with the chords and one without them",
        "melody_on_top": "makes a mix with the chords and one without them",
    },
)
@options.json_option
@options.force_option
@options.quiet_option
def command(
    chart_path: Path,
    out: Path,
    formats: str,
    task: str | None,
    course_path: Path | None,
    student_tracks: bool,
    is_opened: bool,
    quick: bool,
    workers: int | None,
    choices: Choices,
    as_json: bool,
    force: bool,
    quiet: bool,
) -> None:
    """Make a lesson: practice page, handout, tracks, comparisons, drills, stems, cues, notation.

    What a student takes home lies in one folder and one zip, everything else in another, with
    an index page over both. With --section the lesson is about that section: large on page and
    handout, the rest of the tune small and known. Run again, it makes only what changed.
    """
    wanted = listed_formats(formats, SOUND)
    if "chords" in choices.without:
        raise click.UsageError(
            "--without chords cannot act here: every track has a practice mix without the chords; "
            "leave it away"
        )
    start = time.perf_counter()
    from porchswing.chart.chart_text import read_chart_text
    from porchswing.course.ledger import met_in_all
    from porchswing.lesson.learned import knowing
    from porchswing.lesson.lesson_index import INDEX, zip_name
    from porchswing.lesson.lesson_job import STUDENT
    from porchswing.lesson.pack import check_extras, lesson_jobs, make_lesson
    from porchswing.lesson.source import LessonSource
    from porchswing.outputs.folder import OutputFolder
    from porchswing.outputs.jobs.executors import site
    from porchswing.pages.practice.task import parse_task

    check_extras()
    earlier = _tunes_before(course_path, chart_path)
    met = met_in_all(earlier)
    source = LessonSource(
        read_chart_text(chart_path),
        chart_path.name,
        file_word(chart_path.stem),
        replace(choices, ease=knowing(choices.ease, met)) if course_path else choices,
        wanted,
        met=met,
        earlier=earlier,
        task=parse_task(task) if task else None,
        student_tracks=student_tracks,
        quick=quick,
    )
    lesson_jobs(source)  # everything that can be wrong with the chart is said before any work
    with (
        OutputFolder(out, force=force).locked() as folder,
        site(workers) as workplace,
        base.progress("making", quiet=quiet or as_json) as tell,
    ):
        summary = make_lesson(source, folder, workplace, on_progress=tell)
    seconds = time.perf_counter() - start
    if as_json:
        facts = summary_facts(summary, seconds)
        base.show_json({**facts, "made": list(summary.made), "index": str(out / INDEX)})
    else:
        show_failures(summary)
        if not quiet:
            click.echo(counts_text(summary, seconds))
            base.note_encoder(summary.made)
            if (out / INDEX).is_file():
                click.echo(f"Start at a low volume. Open {out / INDEX}")
            student = out / zip_name(source)
            if student.is_file() and not _lacks_some(summary, STUDENT):
                size = student.stat().st_size / 1e6
                click.echo(f"For the student: {student} ({size:.1f} MB)")
    if is_opened and (out / INDEX).is_file():
        click.launch(str(out / INDEX))
    if summary.failed:
        click.get_current_context().exit(1)


def _lacks_some(summary: Summary, folder: str) -> bool:
    """Return whether a file of a folder of the lesson failed: an older zip may lie there."""
    return any(failure.file.startswith(f"{folder}/") for failure in summary.failed)


def _tunes_before(course_path: Path | None, chart_path: Path) -> tuple[EarlierTune, ...]:
    """Return the tunes before a chart in a course; none without a course."""
    from porchswing.course.course_reader import read_course
    from porchswing.course.ledger import tunes_until

    if course_path is None:
        return ()
    return tunes_until(read_course(course_path), course_path.parent, chart_path)
