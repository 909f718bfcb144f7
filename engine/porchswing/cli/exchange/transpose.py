"""``porchswing transpose``: the chart itself in another key."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(example="porchswing transpose tune.changes Eb -o tune-Eb.changes")
@options.chart_argument
@click.argument("key", metavar="KEY")
@options.output_option(
    "CHART", "The chart to write.  [default: standard output]", default=base.STANDARD
)
@options.answer_options
def command(chart_path: Path, key: str, out: Path, answer: base.Answer) -> None:
    """Write a chart in another key, with every function, spelling and closed lock.

    The mode stays: a tune in F minor goes to G minor by ``G``. Comments stay as typed.
    """
    from porchswing.chart.language.writer import write_chart
    from porchswing.chart.transpose import transpose

    moved = transpose(base.read_chart_at(chart_path), key)
    text = write_chart(moved)
    files = [str(out)] if str(out) != base.STANDARD else []
    if files or not answer.as_json:
        answer.write_at(out, text)
    answer.show(
        {"key": str(moved.key), "files": files, "text": text}, *(f"wrote {file}" for file in files)
    )
