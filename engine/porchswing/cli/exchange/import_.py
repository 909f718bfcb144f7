"""``porchswing import``: a lead sheet in MusicXML or ABC as a chart."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(name="import", example="porchswing import tune.mxl -o tune.changes")
@click.argument("sheet", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "-o",
    "--output",
    "out",
    required=True,
    metavar="CHART",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The chart to write, - for standard output; its name usually ends in .changes.",
)
@options.json_option
@options.force_option
@options.quiet_option
def command(sheet: Path, out: Path, as_json: bool, force: bool, quiet: bool) -> None:
    """Turn a lead sheet (.musicxml, .xml, .mxl, .abc) into a chart.

    Chord symbols become the plain lane, the top line the melody lane. What could not be carried
    over is listed. Needs the extra "notation".
    """
    from porchswing.chart.language.writer import write_chart
    from porchswing.notation.reading.box import import_in_box

    imported = import_in_box(sheet)
    base.write_text_at(out, write_chart(imported.chart), force=force)
    quiet = quiet or str(out) == base.STANDARD
    if as_json:
        base.show_json({"files": [str(out)], "left_out": list(imported.left_out)})
    elif not quiet:
        click.echo(f"wrote {out}")
        if imported.left_out:
            click.echo("not carried over:")
            click.echo("\n".join(f"  {line}" for line in imported.left_out))
