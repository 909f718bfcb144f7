"""``porchswing bench``: the teacher's local page."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(example="porchswing bench stroll.changes")
@click.argument("chart_path", metavar="[CHART]", required=False, type=click.Path(path_type=Path))
@click.option("--no-open", is_flag=True, help="Only say the address; open no browser.")
@click.option(
    "--port",
    type=options.number(0, 65535),
    default=0,
    metavar="N",
    help="Port on this machine.  [default: a free one]",
)
@click.option(
    "--left-handed", is_flag=True, help="Draw grips for a left-handed player: string 1 on the left."
)
@options.quiet_option
def command(
    chart_path: Path | None, no_open: bool, port: int, left_handed: bool, quiet: bool
) -> None:
    """Open the bench: a page on which a lesson is heard, chosen and made.

    Chart and boards are side by side; touch a chord and hear other swaps, grips and ways to
    play it in their place. What you choose is written into the chart file. Without CHART the
    page offers this folder's charts, the demos and a new one. The page is served to this machine
    alone, under an address nobody can guess; Ctrl-C ends it.
    """
    from porchswing.bench.server.serving import serve

    def on_ready(address: str) -> None:
        address += "#left-handed" if left_handed else ""
        if not quiet:
            click.echo(
                f"the bench is open at {address}\n"
                "Start at a low volume. Ctrl-C ends it; your chart is saved as you work."
            )
        if not no_open:
            click.launch(address)

    serve(chart_path.parent if chart_path else Path(), chart_path, port, on_ready)
