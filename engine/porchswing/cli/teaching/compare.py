"""``porchswing compare``: the plain lane, then the swing lane, equally loud."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, options
from porchswing.options import Choices, take_name
from porchswing.outputs.names import file_word

if TYPE_CHECKING:
    from porchswing.audio.master.audio_report import AudioReport
    from porchswing.lesson.comparison import Comparison


@base.command(example="porchswing compare stroll.changes -o out/ --section B --bars 1-4 --times 2")
@options.chart_argument
@options.out_option
@options.formats_option
@click.option(
    "--times",
    type=options.number(1, 20),
    metavar="1..20",
    default=1,
    show_default=True,
    help="How often each pair of lanes is played.",
)
@click.option(
    "--each-swap", is_flag=True, help="One file more for each swap, heard by itself in its bars."
)
@click.option(
    "--context",
    is_flag=True,
    help="Play the section after the one before it: kept plain there, then swung.",
)
@options.choice_options(
    *options.EVERYTHING,
    refused={
        "lane": "plays both lanes",
        "count_in_bars": "has two clicks before every lane",
        "ritardando": "plays every lane at one tempo",
        "loop": "plays one lane after another",
    },
)
@options.answer_options
def command(
    chart_path: Path,
    out: Path,
    formats: str | None,
    times: int,
    each_swap: bool,
    context: bool,
    choices: Choices,
    answer: base.Answer,
) -> None:
    """Play the same bars plain, then swung, back to back at the same loudness.

    Two clicks come before each. Without --section or --bars every section comes once, its two
    lanes next to each other. With --line 4 you hear what string 4 plays in the plain lane's grips,
    then in the swing lane's; --with line puts it inside the chords, --only chords plays whole
    grips. The MIDI file beside the sound carries a marker for each lane.
    """
    from porchswing.cli.tune.render import find_targets
    from porchswing.lesson.comparison import (
        compare,
        compare_in_context,
        compare_line,
        compare_swap,
        lone_swaps,
        with_line_heard,
    )
    from porchswing.take import lead_and_grips

    of_line = "chords" not in choices.only and choices.line is not None
    line = f" line {choices.line.string or 'auto'}" if of_line and choices.line else ""
    name = take_name(f"{chart_path.stem} compare{line}", choices)
    folder, targets = find_targets(name, out, formats)
    options.refuse_unheard([path.suffix for path in targets])
    chart = base.read_chart_at(chart_path)
    played = with_line_heard(chart, choices) if of_line else choices
    heard = compare_in_context if context else compare_line if of_line else compare
    jobs: list[tuple[Comparison, list[Path]]] = [(heard(chart, played, times), targets)]
    if each_swap:
        lead, _ = lead_and_grips(chart, replace(choices, key=None, lane="swing"))
        for swap in lone_swaps(lead.chart, lead, choices.section):
            stem = f"{file_word(chart_path.stem)}_compare-{file_word(swap.name)}"
            paths = [target.with_name(f"{stem}{target.suffix}") for target in targets]
            jobs.append((compare_swap(lead.chart, choices, swap, times), paths))
    files = [path for _, paths in jobs for path in paths]
    rows = []
    with (
        answer.folder(folder).making_all(files) as parts,
        answer.progress("writing") as on_progress,
    ):
        for comparison, paths in jobs:
            report = comparison.write([parts[path] for path in paths])
            rows.append(_facts(comparison, paths, report))
            on_progress(len(rows) / len(jobs))
    answer.show({"files": [str(path) for path in files], "comparisons": rows}, *files)


def _facts(comparison: Comparison, files: list[Path], report: AudioReport | None) -> dict[str, Any]:
    """Return what ``--json`` prints of a comparison: its files and where each lane starts."""
    return {
        "title": comparison.title,
        "files": [str(path) for path in files],
        "seconds": round(report.seconds if report else comparison.performance.end_s, 4),
        "pieces": [
            {
                "name": piece.name,
                "start_seconds": round(start_s, 4),
                "seconds": round(piece.performance.end_s, 4),
            }
            for piece, start_s in zip(comparison.pieces, comparison.starts_s, strict=True)
        ],
    }
