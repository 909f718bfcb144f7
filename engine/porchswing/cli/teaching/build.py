"""``porchswing build``: a whole course, many charts in many keys, tempos and mixes."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, options
from porchswing.cli.teaching.summary import failure_rows, show_failed, show_summary, time_text
from porchswing.errors import ChartError
from porchswing.outputs.jobs.job import Failure
from porchswing.units import counted

if TYPE_CHECKING:
    from porchswing.course.run import Estimate, Todo


@base.command(example="porchswing build course.toml -o course/ --workers 2")
@click.argument("course_path", metavar="COURSE.toml", type=click.Path(path_type=Path))
@options.output_option(
    "DIR", "Where the course goes.", kind=options.OutPath(file_okay=False), required=True
)
@click.option(
    "--workers",
    type=options.number(1, 512),
    metavar="N",
    help="Processes at work.  [default: one for every core]",
)
@click.option("--scheduler", metavar="ADDRESS", help="A Dask scheduler instead: tcp://host:8786.")
@click.option("--tls-ca", metavar="FILE", help="TLS to the scheduler: the authority's certificate.")
@click.option("--tls-cert", metavar="FILE", help="TLS to the scheduler: our certificate.")
@click.option("--tls-key", metavar="FILE", help="TLS to the scheduler: our key.")
@click.option("--dry-run", is_flag=True, help="Say what would be made, how long, how much disk.")
@click.option("--prune", is_flag=True, help="Remove what builds made and is no longer asked for.")
@click.option("--verify", is_flag=True, help="Read every file again, whatever its time says.")
@click.option(
    "--keep-going/--stop-at-failure",
    default=True,
    show_default=True,
    help="After a failure make everything else, or stop.",
)
@options.answer_options
def command(
    course_path: Path,
    out: Path,
    workers: int | None,
    scheduler: str | None,
    tls_ca: str | None,
    tls_cert: str | None,
    tls_key: str | None,
    dry_run: bool,
    prune: bool,
    verify: bool,
    keep_going: bool,
    answer: base.Answer,
) -> None:
    """Make a course: every chart in every key, tempo and mix, only what changed since last time.

    Exit code 1 if anything failed; everything else is made all the same.

    With --scheduler the jobs run on the workers of a Dask cluster: machines with this very version
    of porchswing that see DIR under the same path. Jobs travel as pickles, so whoever can reach the
    scheduler can run code on its workers: use a network you trust, or TLS.
    """
    from porchswing.course.course_file import read_course
    from porchswing.course.run import INDEX, LONG_S, build_course, estimate, find_todo
    from porchswing.outputs.jobs.executors import TlsFiles, site

    if (tls_ca or tls_cert or tls_key) and not (tls_ca and tls_cert and tls_key and scheduler):
        raise click.UsageError("--tls-ca, --tls-cert and --tls-key go together, with --scheduler")
    tls = TlsFiles(tls_ca, tls_cert, tls_key) if tls_ca and tls_cert and tls_key else None
    start = time.perf_counter()
    course = read_course(course_path)
    output = answer.folder(out)
    with (
        site(workers, scheduler, tls) as place,
        nullcontext() if dry_run else output.locked(),
    ):
        todo = find_todo(course, output, verify=verify)
        guess = None
        if todo.jobs and (dry_run or answer.is_plain):
            guess = estimate(todo.jobs, least_s=0.0 if dry_run else LONG_S)
        if answer.is_plain:
            click.echo(_plan_text(course.title, todo, guess, place.workers, out))
        if dry_run:
            failed = (*todo.plan.failures, *todo.strangers, *_broken_charts(todo))
            if answer.as_json:
                base.show_json(_plan_facts(todo, failed, guess, place.workers))
            else:
                show_failed(failed)
            if failed:
                click.get_current_context().exit(1)
            return
        with answer.progress("making") as on_progress:
            summary = build_course(
                course,
                todo,
                output,
                place,
                keep_going=keep_going,
                prune=prune,
                on_progress=on_progress,
            )
    show_summary(summary, time.perf_counter() - start, answer, made=len(summary.made))
    if answer.is_plain and (out / INDEX).is_file():
        click.echo(f"Start at a low volume. Open {out / INDEX}")
    if summary.failed:
        click.get_current_context().exit(1)


def _plan_text(title: str, todo: Todo, guess: Estimate | None, workers: int, folder: Path) -> str:
    text = f"{title}: {counted(len(todo.names), 'file')} planned, {todo.files} to make"
    if guess is None:
        return text
    text += f": recordings of {time_text(guess.audio_s)} in all"
    there = next(path for path in (folder, *folder.absolute().parents) if path.exists())
    free = shutil.disk_usage(there).free
    short = "; THIS IS MORE THAN THE DISK HAS FREE" if guess.size_bytes > free else ""
    if guess.work_s:
        text += (
            f", about {time_text(guess.work_s / workers)} with {counted(workers, 'worker')}, "
            f"{guess.size_bytes / 1e9:.2f} GB ({free / 1e9:.0f} GB free)"
        )
    return text + short


def _broken_charts(todo: Todo) -> Iterator[Failure]:
    """Yield a failure for each chart whose text has mistakes."""
    from porchswing.chart.language.reader import parse_chart

    for name, text in {job.chart_name: job.chart_text for job in todo.plan.jobs}.items():
        try:
            parse_chart(text, name)
        except ChartError as error:
            yield Failure(name, str(error))


def _plan_facts(
    todo: Todo, failed: tuple[Failure, ...], guess: Estimate | None, workers: int
) -> dict[str, Any]:
    return {
        "planned": len(todo.names),
        "to_make": todo.files,
        "kept": len(todo.names) - todo.files - len(todo.strangers),
        "failed": failure_rows(failed),
        "audio_seconds": round(guess.audio_s, 1) if guess else 0,
        "estimated_seconds": round(guess.work_s / workers, 1) if guess else 0,
        "estimated_bytes": guess.size_bytes if guess else 0,
        "workers": workers,
    }
