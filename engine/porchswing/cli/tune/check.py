"""``porchswing check``: everything wrong or doubtful in charts, all of it in one run."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from porchswing.cli import base, options
from porchswing.errors import ChartError, Problem

if TYPE_CHECKING:
    from porchswing.chart.model import Chart

_PATTERN_LINE = re.compile(r"\s*(strum|bass|drums)\s*:\s*(\S{1,60})")


@base.command(example="porchswing check tunes/*.changes")
@click.argument(
    "chart_paths",
    metavar="CHART...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
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
    errors: list[Problem] = []
    doubts: list[Problem] = []
    for path in chart_paths:
        changes = fix_chart(path) if fix else ()
        if not (as_json or quiet):
            click.echo("".join(f"{path}: {change}\n" for change in changes), nl=False)
        wrong, doubtful = check_chart(path)
        errors += wrong
        doubts += doubtful
        if not (as_json or quiet):
            _show(path, wrong, doubtful)
    if as_json:
        base.show_json({"errors": _rows(errors), "doubts": _rows(doubts)})
    elif quiet and errors:
        click.echo("\n\n".join(map(str, errors)), err=True)
    if errors:
        click.get_current_context().exit(1)


def fix_chart(path: Path) -> tuple[str, ...]:
    """Mend a chart in place; return what changed. A chart that cannot be read stays as it is."""
    from porchswing.chart.language.mending import mend
    from porchswing.chart.language.reader import read_chart_text
    from porchswing.outputs.files import write_whole

    try:
        mended = mend(read_chart_text(path))
    except ChartError:
        return ()
    if mended.changes:
        write_whole(path, mended.text.encode("utf-8"))
    return mended.changes


def check_chart(path: Path) -> tuple[list[Problem], list[Problem]]:
    """Return what is wrong in a chart and what is doubtful, in the order of the text."""
    from porchswing.chart.language.reader import read_chart
    from porchswing.grips.names.mistakes import mistakes

    try:
        chart = read_chart(path)
    except ChartError as error:
        return list(error.problems), []
    lines = path.read_text("utf-8-sig").splitlines()
    wrong = [*_unknown_patterns(str(path), lines), *mistakes(chart)]
    return _in_order(wrong, lines), _in_order(_doubts(chart), lines)


def _in_order(problems: Iterable[Problem], lines: list[str]) -> list[Problem]:
    ordered = sorted(problems, key=lambda problem: (problem.line, problem.column))
    return [_with_text(problem, lines) for problem in ordered]


def _doubts(chart: Chart) -> Iterator[Problem]:
    from porchswing.grips.names.doubts import doubts as doubtful_grips
    from porchswing.harmony.analysis.review import review

    yield from doubtful_grips(chart)
    yield from review(chart)


def _unknown_patterns(file: str, lines: list[str]) -> Iterator[Problem]:
    """Yield a problem for each pattern a chart names that does not exist."""
    from porchswing.rhythm.patterns import pattern_names

    for number, line in enumerate(lines, start=1):
        found = _PATTERN_LINE.match(line)
        if found and found[2] not in (names := pattern_names(found[1])):
            near = difflib.get_close_matches(found[2], names, n=1)
            hint = f"did you mean {near[0]}?" if near else "see: porchswing list patterns"
            message = f"unknown {found[1]} pattern {found[2]!r}"
            yield Problem(file, number, found.start(2) + 1, message, hint, width=len(found[2]))


def _with_text(problem: Problem, lines: list[str]) -> Problem:
    """Return the problem with its line of the chart, unless the line is too long to show."""
    known = 1 <= problem.line <= len(lines) and len(lines[problem.line - 1]) <= 160
    if problem.text or not known:
        return problem
    return replace(problem, text=lines[problem.line - 1].replace("\t", " "))


def _rows(problems: list[Problem]) -> list[dict[str, object]]:
    return [{k: v for k, v in asdict(p).items() if k not in ("text", "width")} for p in problems]


def _show(path: Path, wrong: list[Problem], doubtful: list[Problem]) -> None:
    for problem in wrong:
        click.echo(f"{problem}\n", err=True)
    for problem in doubtful:
        click.echo(f"doubtful: {problem}\n")
    if not wrong and not doubtful:
        click.echo(f"{path}: nothing wrong or doubtful")
