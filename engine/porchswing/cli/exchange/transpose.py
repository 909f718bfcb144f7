"""``porchswing transpose``: the chart itself in another key."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(example="porchswing transpose tune.changes Eb -o tune-Eb.changes")
@options.chart_argument
@click.argument("key", metavar="KEY")
@click.option(
    "-o",
    "--output",
    "out",
    metavar="CHART",
    default=base.STANDARD,
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The chart to write.  [default: standard output]",
)
@options.json_option
@options.force_option
@options.quiet_option
def command(chart_path: Path, key: str, out: Path, as_json: bool, force: bool, quiet: bool) -> None:
    """Write a chart in another key, with every function, spelling and closed lock.

    The mode stays: a tune in F minor goes to G minor by ``G``. Comments stay as typed.
    """
    from porchswing.chart.language.writer import write_chart
    from porchswing.chart.transpose import transpose

    moved = transpose(base.read_chart_at(chart_path), key)
    text = write_chart(moved)
    if as_json:
        facts = {"key": str(moved.key), "files": [], "text": text}
        if str(out) != base.STANDARD:
            base.write_text_at(out, text, force=force)
            facts |= {"files": [str(out)]}
        base.show_json(facts)
        return
    base.write_text_at(out, text, force=force)
    if not quiet and str(out) != base.STANDARD:
        click.echo(f"wrote {out}")
