"""``porchswing drill``: practice tracks from a tune's own hard spots."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, options
from porchswing.options import Choices, take_name
from porchswing.outputs.names import file_word

if TYPE_CHECKING:
    from porchswing.lesson.drill_kinds import Drill

KINDS = ("changes", "ladder", "answer", "fade", "line", "strum")


@base.command(
    example="porchswing drill stroll.changes -o out/ --kind ladder --section B --from 70 --to 120"
)
@options.chart_argument
@options.folder_option
@options.formats_option
@click.option(
    "--kind",
    "kinds",
    type=options.Word(KINDS),
    multiple=True,
    help="Which kind of drill (again for more).  [default: all]",
)
@click.option(
    "--spots",
    type=options.number(1, 12),
    metavar="1..12",
    default=3,
    show_default=True,
    help="How many of the hardest changes get a track.",
)
@click.option("--from", "from_bpm", type=options.TEMPO, help="Ladder: first tempo.")
@click.option("--to", "to_bpm", type=options.TEMPO, help="Ladder: last tempo.")
@click.option(
    "--step",
    type=options.number(0.5, 50, whole=False),
    default=4.5,
    show_default=True,
    metavar="PERCENT",
    help="Ladder: how much faster each round is (convention, not evidence).",
)
@options.choice_options(
    *options.EVERYTHING,
    refused={
        "count_in_bars": "has a bar of clicks before every piece",
        "ritardando": "goes on at one tempo from piece to piece",
        "loop": "repeats each piece as often as its kind says",
    },
)
@options.answer_options
def command(
    chart_path: Path,
    out: Path,
    formats: str | None,
    kinds: tuple[str, ...],
    spots: int,
    from_bpm: float | None,
    to_bpm: float | None,
    step: float,
    choices: Choices,
    answer: base.Answer,
) -> None:
    """Make practice tracks: the hardest changes, a tempo ladder, listen and answer, and more.

    The hardest changes are found by the hand's work in the time it has. Beside
    each track stand its cues (WebVTT: what comes when, the tempo of every rung); a practice
    plan in words and minutes goes with them.
    """
    from porchswing.cli.tune.render import wanted_formats
    from porchswing.lesson.drill_kinds import Ladder, drills
    from porchswing.lesson.practice_plan import plan_text, practice_plan
    from porchswing.recording import CUES, write_performance

    if kinds and "ladder" not in kinds:
        options.refuse_given(
            ("from_bpm", "to_bpm", "step"), "no ladder is made", "add --kind ladder"
        )
    suffixes = (*wanted_formats(formats), CUES)
    options.refuse_unheard(suffixes)
    chart = base.read_chart_at(chart_path)
    ladder = Ladder(from_bpm, to_bpm, step / 100)
    made = drills(chart, choices, kinds or KINDS, spots=spots, ladder=ladder)
    steps = practice_plan(made)
    stem = take_name(chart_path.stem, choices)
    tracks = {d.stem: [out / f"{stem}-{file_word(d.stem)}.{s}" for s in suffixes] for d in made}
    plan_path = out / f"{stem}-practice_plan.txt"
    files = [*(path for paths in tracks.values() for path in paths), plan_path]
    with (
        answer.folder(out).making_all(files) as parts,
        answer.progress("writing") as on_progress,
    ):
        for number, drill in enumerate(made, 1):
            paths = [parts[path] for path in tracks[drill.stem]]
            write_performance(drill.performance, paths, choices.sound, tags=drill.tags)
            on_progress(number / len(made))
        parts[plan_path].write_text(plan_text(chart.title, steps), "utf-8")
    rows = [_facts(drill, tracks[drill.stem]) for drill in made]
    plan = [{"minutes": s.minutes, "words": s.words, "track": s.track} for s in steps]
    answer.show(
        {"files": [str(path) for path in files], "drills": rows, "plan": plan},
        *files,
    )
    if answer.is_plain:
        base.note_encoder(files)


def _facts(drill: Drill, files: list[Path]) -> dict[str, Any]:
    return {
        "kind": drill.kind,
        "title": drill.title,
        "words": drill.words,
        "files": [str(path) for path in files],
        "seconds": round(drill.performance.end_s, 4),
        "sections": [
            {"seconds": round(mark.seconds, 4), "text": mark.text}
            for mark in drill.performance.marks
            if mark.kind == "section"
        ],
    }
