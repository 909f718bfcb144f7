"""``porchswing import``: a lead sheet in MusicXML or ABC as a chart."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(name="import", example="porchswing import tune.mxl -o tune.changes")
@click.argument("sheet", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False))
@options.output_option(
    "CHART",
    "The chart to write, - for standard output; its name usually ends in .changes.",
    required=True,
)
@options.answer_options
def command(sheet: Path, out: Path, answer: base.Answer) -> None:
    """Turn a lead sheet (.musicxml, .xml, .mxl, .abc) into a chart.

    Chord symbols become the plain lane, the top line the melody lane. What could not be carried
    over is listed. Needs the extra "notation".
    """
    from porchswing.chart.language.writer import write_chart
    from porchswing.notation.reading.box import import_in_box

    imported = import_in_box(sheet)
    lines = [f"wrote {out}"]
    if imported.left_out:
        lines += ["not carried over:", *(f"  {line}" for line in imported.left_out)]
    answer.write_at(out, write_chart(imported.chart))
    answer.show(
        {"files": [str(out)], "left_out": list(imported.left_out)},
        *(lines if str(out) != base.STANDARD else ()),
    )
