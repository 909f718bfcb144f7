"""``porchswing export``: a chart as a score for any notation program."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options
from porchswing.errors import OptionError
from porchswing.options import Choices

SUFFIXES = (".musicxml", ".xml")


@base.command(example="porchswing export stroll.changes -o stroll.musicxml --line 4:down")
@options.chart_argument
@options.output_option(
    "FILE.musicxml",
    "The MusicXML file to write.",
    kind=click.Path(path_type=Path, dir_okay=False),
    required=True,
)
@options.choice_options(
    *options.EVERYTHING[:-1],
    refused={
        "lane": "writes both lanes",
        "without": "writes the chords and one line",
        "only": "writes the chords and one line",
        "also": "always writes the line and the melody",
        "humanize": "writes music on the beat",
        "feel": "writes one swing ratio for everybody",
        "bass": "writes no bass",
        "drums": "writes no drums",
        "backbeat": "writes strokes without their loudness",
        "count_in_bars": "begins at the first bar",
    },
)
@options.answer_options
def command(chart_path: Path, out: Path, choices: Choices, answer: base.Answer) -> None:
    """Write a chart as MusicXML 4.0, as it is played, for any notation program.

    Both lanes with chord symbols, fret diagrams and strums, the line of one string as notes
    (--line chooses the string), the melody and the words where the chart has any, playing marks,
    tempo and swing. With --melody-on-top the tune on top of its grips as well, as tablature.
    """
    from porchswing.lesson.chart_score import notated_score

    if out.suffix.lower() not in SUFFIXES:
        raise OptionError(f"MusicXML goes to a file in {' or '.join(SUFFIXES)}, got {out.name!r}")
    answer.write_at(out, notated_score(base.read_chart_at(chart_path), choices))
    answer.show({"files": [str(out)]}, f"wrote {out}")
