"""``porchswing sheet``: a plain chord sheet on one page, as text or PDF."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options
from porchswing.options import CHANGES, Choices

SUFFIXES = (".txt", ".pdf")


@base.command(example="porchswing sheet tune.changes --lane plain -o tune.pdf")
@options.chart_argument
@options.output_option(
    "FILE",
    "A file in .txt or .pdf (extra: lesson).  [default: text on standard output]",
    default=base.STANDARD,
)
@click.option(
    "--paper", type=options.Word(("a4", "letter")), default="a4", show_default=True, help="For PDF."
)
@click.option(
    "--for",
    "players",
    metavar="LIST",
    help="Grips, a bass or parts for others: ukulele, low-G, baritone, guitar, bass, Bb, Eb, F.",
)
@options.choice_options(CHANGES, also=("lane", "mutes"))
@options.answer_options
def command(
    chart_path: Path,
    out: Path,
    paper: str,
    players: str | None,
    choices: Choices,
    answer: base.Answer,
) -> None:
    """Write the chords of a tune, and its words, section by section, four bars to a line.

    Everything is on one page.

    The swing lane unless --lane plain asks for the chords as you know them. --for makes a part for
    each player named: grips for tunings (on guitar three or four inner strings), roots and a walk
    for a bass, transposed chords for horns.
    """
    from porchswing.pages.chord_sheet.chord_sheet import chord_sheet, sheet_pdf, sheet_text
    from porchswing.pages.chord_sheet.players import players_sheet, read_players
    from porchswing.take import lead_of

    files = [str(out)] if str(out) != base.STANDARD else []
    if files and out.suffix.lower() not in SUFFIXES:
        raise click.UsageError(f"a sheet goes to a file in {' or '.join(SUFFIXES)}, got {out.name}")
    if players is None:
        options.refuse_given(("mutes",), "a simple chord sheet has no grips", "add --for ukulele")
    lead = lead_of(base.read_chart_at(chart_path), choices)
    if players is None:
        sheet = chord_sheet(lead, choices.lane)
    else:
        sheet = players_sheet(lead, choices.lane, read_players(players), mutes=choices.mutes)
    text = sheet_text(sheet)
    if files or not answer.as_json:
        is_pdf = out.suffix.lower() == ".pdf"
        answer.write_at(out, sheet_pdf(sheet, paper) if is_pdf else text)
    answer.show({"files": files, "text": text}, *(f"wrote {file}" for file in files))
