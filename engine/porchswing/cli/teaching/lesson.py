"""``porchswing lesson``: the whole pack for one tune in one folder."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import click

from porchswing.cli import base, options
from porchswing.cli.teaching.summary import show_summary
from porchswing.cli.tune.render import listed_formats
from porchswing.file_formats import SOUND
from porchswing.options import DRAWINGS, Choices
from porchswing.outputs.names import file_word


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
    "--workers", type=options.number(1, 64), metavar="N", help="Processes.  [default: every core]"
)
@options.choice_options(
    *options.EVERYTHING,
    DRAWINGS,
    refused={
        "only": "makes a mix with the chords and one without them",
        "melody_on_top": "makes a mix with the chords and one without them",
    },
)
@options.answer_options
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
    answer: base.Answer,
) -> None:
    """Make a lesson: practice page, handout, tracks, comparisons, drills, stems, cues, notation.

    What a student takes home lies in one folder and one zip, everything else in another, with
    an index page over both. With --section the lesson is about that section: large on page and
    handout, the rest of the tune small and known. Run again, it makes only what changed.
    """
    start, wanted = time.perf_counter(), listed_formats(formats, SOUND)
    if "chords" in choices.without:
        raise click.UsageError(
            "--without chords cannot act here: every track has a practice mix without the chords; "
            "leave it away"
        )
    from porchswing.chart.chart_text import read_chart_text
    from porchswing.course.course_file import read_course
    from porchswing.course.ledger import tunes_until
    from porchswing.lesson.learned import knowing, met_in_all
    from porchswing.lesson.lesson_index import INDEX, zip_name
    from porchswing.lesson.lesson_job import STUDENT
    from porchswing.lesson.pack import check_extras, lesson_jobs, make_lesson
    from porchswing.lesson.source import LessonSource
    from porchswing.outputs.jobs.executors import site
    from porchswing.pages.practice.task import parse_task

    check_extras()
    course = read_course(course_path) if course_path else None
    earlier = tunes_until(course, Path(course.file).parent, chart_path) if course else ()
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
        answer.folder(out).locked() as folder,
        site(workers) as workplace,
        answer.progress("making") as on_progress,
    ):
        summary = make_lesson(source, folder, workplace, on_progress=on_progress)
    index, student = out / INDEX, out / zip_name(source)
    show_summary(
        summary, time.perf_counter() - start, answer, made=list(summary.made), index=str(index)
    )
    if answer.is_plain and index.is_file():
        click.echo(f"Start at a low volume. Open {index}")
    # where a file of the student's failed, an older zip may lie there
    is_whole = not any(each.file.startswith(f"{STUDENT}/") for each in summary.failed)
    if answer.is_plain and is_whole and student.is_file():
        click.echo(f"For the student: {student} ({student.stat().st_size / 1e6:.1f} MB)")
    if is_opened and index.is_file():
        click.launch(str(index))
    if summary.failed:
        click.get_current_context().exit(1)
