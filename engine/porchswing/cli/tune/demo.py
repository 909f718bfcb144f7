"""``porchswing demo``: the main job on a built-in chart, no arguments needed."""

from __future__ import annotations

import shlex
import time
from pathlib import Path

import click

from porchswing.cli import base, options

CHART = "lantern_street_stroll.changes"
"""The built-in chart the demo plays, of those in ``demos/``."""

MIXES: dict[str, tuple[str, ...]] = {"": (), "-without_chords": ("chords",)}
"""What is added to the file's name, and the parts left out."""


@base.command(example="porchswing demo -o porchswing-demo")
@click.option(
    "-o",
    "--output",
    "folder",
    default="porchswing-demo",
    show_default=True,
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where to write.",
)
@options.json_option
@options.force_option
@options.quiet_option
def command(folder: Path, as_json: bool, force: bool, quiet: bool) -> None:
    """Play a built-in chart as MIDI and audio, with the chord part and without it."""
    start = time.perf_counter()
    from porchswing.chart.language.reader import parse_chart
    from porchswing.options import Choices
    from porchswing.outputs.files import shipped
    from porchswing.outputs.folder import OutputFolder
    from porchswing.take import take_from_chart

    text = (shipped("demos") / CHART).read_text("utf-8")
    chart = parse_chart(text, CHART)
    stem = Path(CHART).stem
    copy = folder / CHART
    mixes = {
        without: [folder / f"{stem}{tail}.{suffix}" for suffix in ("mid", "wav")]
        for tail, without in MIXES.items()
    }
    files = [copy, *(path for paths in mixes.values() for path in paths)]
    with (
        OutputFolder(folder, force=force).making_all(files) as parts,
        base.progress("playing", quiet=quiet or as_json) as tell,
    ):
        parts[copy].write_text(text, "utf-8")
        for without, paths in mixes.items():
            take = take_from_chart(chart, Choices(without=without))
            take.write([parts[path] for path in paths], progress=tell)
    if as_json:
        base.show_json({"title": chart.title, "files": [str(path) for path in files]})
    elif not quiet:
        _tell(f'"{chart.title}", {take.tempo_bpm:g} bpm', time.perf_counter() - start, files)


def _tell(what: str, seconds: float, files: list[Path]) -> None:
    """Print what was written and what to open next."""
    copy, _, full, _, practice = files
    again, typed = base.command_word(), shlex.quote(str(copy))
    click.echo(f"{what}, in {seconds:.1f} s:")
    for path in files:
        click.echo(f"  {path}")
    click.echo(
        f"\nStart at a low volume. Open {full} to hear the band with the\n"
        f"ukulele's closed grips, then {practice} and play the\n"
        f"chords yourself. The chart is {copy}: change it, then\n\n"
        f"  {again} grips {typed}\n"
        f"  {again} render {typed} -o mine.wav --tempo 92 --without chords"
    )
