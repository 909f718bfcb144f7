"""``porchswing sheet``: a plain chord sheet on one page, as text or PDF."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options
from porchswing.options import CHANGES, Choices

SUFFIXES = (".txt", ".pdf")


@base.command(example="porchswing sheet tune.changes --lane plain -o tune.pdf")
@options.chart_argument
@click.option(
    "-o",
    "--output",
    "out",
    metavar="FILE",
    default=base.STANDARD,
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="A file in .txt or .pdf (extra: lesson).  [default: text on standard output]",
)
@click.option(
    "--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True, help="For PDF."
)
@click.option(
    "--for",
    "players",
    metavar="LIST",
    help="Grips, a bass or parts for others: ukulele, low-G, baritone, guitar, bass, Bb, Eb, F.",
)
@options.choice_options(CHANGES, also=("lane", "mutes"))
@options.json_option
@options.force_option
@options.quiet_option
def command(
    chart_path: Path,
    out: Path,
    paper: str,
    players: str | None,
    choices: Choices,
    as_json: bool,
    force: bool,
    quiet: bool,
) -> None:
    """Write the chords of a tune, and its words, section by section, four bars to a line.

    Everything stands on one page.

    The swing lane unless --lane plain asks for the chords as you know them. --for makes a part for
    each player named: grips for tunings (on guitar three or four inner strings), roots and a walk
    for a bass, transposed chords for horns.
    """
    from porchswing.outputs.folder import OutputFolder
    from porchswing.pages.chord_sheet.chord_sheet import chord_sheet, sheet_pdf, sheet_text
    from porchswing.pages.chord_sheet.players import players_sheet, read_players
    from porchswing.take import lead_of

    if str(out) != base.STANDARD and out.suffix.lower() not in SUFFIXES:
        raise click.UsageError(f"a sheet goes to a file in {' or '.join(SUFFIXES)}, got {out.name}")
    if players is None:
        options.refuse_given(("mutes",), "a plain chord sheet has no grips", "add --for ukulele")
    chart = base.read_chart_at(chart_path)
    lead = lead_of(chart, choices)
    if players is None:
        sheet = chord_sheet(lead, choices.lane)
    else:
        sheet = players_sheet(lead, choices.lane, read_players(players), mutes=choices.mutes)
    if out.suffix.lower() == ".pdf":
        with OutputFolder(out.parent, force=force).making(out) as part:
            part.write_bytes(sheet_pdf(sheet, paper))
    elif not as_json or str(out) != base.STANDARD:
        base.write_text_at(out, sheet_text(sheet), force=force)
    if as_json:
        files = [] if str(out) == base.STANDARD else [str(out)]
        base.show_json({"files": files, "text": sheet_text(sheet)})
    elif not quiet and str(out) != base.STANDARD:
        click.echo(f"wrote {out}")
