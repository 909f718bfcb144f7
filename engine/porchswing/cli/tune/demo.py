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
@options.output_option(
    "DIR",
    "Where to write.",
    kind=click.Path(path_type=Path, file_okay=False),
    default="porchswing-demo",
    show_default=True,
)
@options.answer_options
def command(out: Path, answer: base.Answer) -> None:
    """Play a built-in chart as MIDI and audio, with the chord part and without it."""
    start = time.perf_counter()
    from porchswing.chart.language.reader import parse_chart
    from porchswing.options import Choices
    from porchswing.outputs.files import shipped
    from porchswing.take import take_from_chart

    text = (shipped("demos") / CHART).read_text("utf-8")
    chart = parse_chart(text, CHART)
    stem = Path(CHART).stem
    copy = out / CHART
    mixes = {
        without: [out / f"{stem}{tail}.{suffix}" for suffix in ("mid", "wav")]
        for tail, without in MIXES.items()
    }
    files = [copy, *(path for paths in mixes.values() for path in paths)]
    with (
        answer.folder(out).making_all(files) as parts,
        answer.progress("playing") as on_progress,
    ):
        parts[copy].write_text(text, "utf-8")
        for without, paths in mixes.items():
            take = take_from_chart(chart, Choices(without=without))
            take.write([parts[path] for path in paths], progress=on_progress)
    seconds = time.perf_counter() - start
    answer.show(
        {"title": chart.title, "files": [str(path) for path in files]},
        f'"{chart.title}", {take.tempo_bpm:g} bpm, in {seconds:.1f} s:',
        *(f"  {path}" for path in files),
        _next_steps(files),
    )


def _next_steps(files: list[Path]) -> str:
    """Return what to open next."""
    copy, _, full, _, practice = files
    again, typed = base.command_word(), shlex.quote(str(copy))
    return (
        f"\nStart at a low volume. Open {full} to hear the band with the\n"
        f"ukulele's closed grips, then {practice} and play the\n"
        f"chords yourself. The chart is {copy}: change it, then\n\n"
        f"  {again} grips {typed}\n"
        f"  {again} render {typed} -o mine.wav --tempo 92 --without chords"
    )
