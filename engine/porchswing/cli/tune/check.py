"""``porchswing check``: everything wrong or doubtful in charts, all of it in one run."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options, terminal
from porchswing.errors import ChartError, Problem


@base.command(example="porchswing check tunes/*.changes")
@click.argument(
    "chart_paths",
    metavar="CHART...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, allow_dash=True),
)
@click.option(
    "--fix",
    is_flag=True,
    help="Write what can mean one thing only as charts write it: [Verse 1], small or German "
    "letters, chords without bars.",
)
@options.json_option
@options.quiet_option
def command(chart_paths: tuple[Path, ...], fix: bool, as_json: bool, quiet: bool) -> None:
    """Read charts and report what is wrong, and what a teacher should look at again.

    Wrong: what cannot be read or played. Doubtful: a locked grip that does not sound its chord,
    a swap that loses its function, and the like. Exit code 1 where anything is wrong.
    """
    if fix and Path(base.STANDARD) in chart_paths:
        raise click.UsageError("--fix writes into a file; save the chart first")
    errors: list[Problem] = []
    doubts: list[Problem] = []
    for path in chart_paths:
        changes = mended(path, write=True) if fix else ()
        if not (as_json or quiet):
            click.echo("".join(f"{path}: {change}\n" for change in changes), nl=False)
        wrong, doubtful = check_chart(path)
        errors += wrong
        doubts += doubtful
        if not (as_json or quiet):
            _show(path, wrong, doubtful)
    if as_json:
        base.show_json({"errors": base.problem_rows(errors), "doubts": base.problem_rows(doubts)})
    elif quiet and errors:
        terminal.show("\n\n".join(map(str, errors)), err=True)
    if errors:
        click.get_current_context().exit(1)


def mended(path: Path, *, write: bool = False) -> tuple[str, ...]:
    """Return what ``--fix`` changes in a chart that can be read, and perhaps ``write`` it."""
    from porchswing.chart.chart_text import read_chart_text
    from porchswing.chart.language.mending import mend
    from porchswing.outputs.files import write_whole

    try:
        found = mend(read_chart_text(path))
    except ChartError:
        return ()
    if write and found.changes:
        write_whole(path, found.text.encode("utf-8"))
    return found.changes


def check_chart(path: Path) -> tuple[list[Problem], list[Problem]]:
    """Return what is wrong in a chart and what is doubtful, in the order of the text."""
    from porchswing.offered.hint_edits import check_text

    try:
        text = base.read_text_at(path)
    except ChartError as error:
        return list(error.problems), []
    return check_text(text, base.shown_name(path))


def _show(path: Path, wrong: list[Problem], doubtful: list[Problem]) -> None:
    for problem in wrong:
        terminal.show(f"{problem}\n", err=True)
    for problem in doubtful:
        terminal.show(f"doubtful: {problem}\n")
    if not wrong and not doubtful:
        click.echo(f"{base.shown_name(path)}: nothing wrong or doubtful")
    if wrong and str(path) != base.STANDARD and (count := len(mended(path))):
        lines = "one line" if count == 1 else f"{count} lines"
        terminal.show(f"porchswing check --fix {path} mends {lines}\n", err=True)
