"""``porchswing reharm``: both lanes bar by bar, with every swap's name and reason."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import click

from porchswing.chart.model import Chart
from porchswing.cli import base, options, terminal
from porchswing.errors import OptionError
from porchswing.options import Choices

OFFERS_SHOWN = 8
"""Most offers for one bar that are shown unless more are asked for."""


@base.command(example='porchswing reharm tune.changes --depth 3 --no-swap "side-slip"')
@options.chart_argument
@options.output_option("OUT", "Write a chart with both lanes; - for standard output.")
@options.choice_options(options.EVERYTHING[0])
@click.option(
    "--lock",
    "locks",
    multiple=True,
    metavar="SECTION:BAR",
    help="Leave a bar alone, for example A:7 (again for more).",
)
@click.option(
    "--further", is_flag=True, help="The last time a section comes back, go one depth further."
)
@click.option(
    "--alternatives",
    "count",
    type=options.number(1, 20),
    metavar="1..20",
    help="Show this many different lanes, or offers for the bar of --at, the best first.  "
    f"[default: 1 lane, {OFFERS_SHOWN} offers]",
)
@click.option(
    "--at",
    "place",
    metavar="SECTION:BAR",
    help="Show what one bar could be, for example B:5 (B:5:3 for its third beat).",
)
@options.answer_options
def command(
    chart_path: Path,
    out: Path | None,
    choices: Choices,
    locks: tuple[str, ...],
    further: bool,
    count: int | None,
    place: str | None,
    answer: base.Answer,
) -> None:
    """Reharmonise a chart: the plain lane, the swing lane, and why each swap works.

    A swing lane written by hand, a locked grip and a locked bar stay as they are.
    """
    from porchswing.chart.language.writer import write_chart
    from porchswing.chart.transpose import transpose
    from porchswing.harmony.analysis.explain import (
        bars_json,
        explained,
        offer_lines,
        offers_json,
    )
    from porchswing.harmony.choice.reharmonize import alternatives
    from porchswing.harmony.passage.keyfinder import with_key_heard
    from porchswing.harmony.places.swap_offers import swap_offers
    from porchswing.theory.keys import Key

    chart = base.read_chart_at(chart_path)
    _check_patterns(chart)
    if choices.key is not None:
        heard = with_key_heard(chart)
        if heard.key != chart.key and answer.is_plain:
            terminal.show(f"no key: is written; the changes sound in {heard.key}")
        chart = transpose(heard, Key.parse(choices.key))
    if place is not None:
        offers = swap_offers(chart, *read_place(place), count or OFFERS_SHOWN)
        answer.show(offers_json(offers), *offer_lines(offers), printed=terminal.show)
        return
    leads = alternatives(
        chart,
        count or 1,
        choices.depth,
        choices.use,
        choices.avoid,
        locked=[read_bar(text) for text in locks],
        further=further,
        together=choices.together,
    )
    if out is not None:
        chart = leads[0].chart
        if choices.depth is not None:  # what was asked for is kept
            chart = replace(chart, settings=replace(chart.settings, depth=choices.depth))
        answer.write_at(out, write_chart(chart))
    if answer.as_json:
        more = {"alternatives": [bars_json(lead) for lead in leads]} if (count or 1) > 1 else {}
        files = {} if out is None else {"files": [str(out)]}
        base.show_json({**bars_json(leads[0]), **more, **files})
    elif not answer.quiet and str(out) != base.STANDARD:
        terminal.show("\n\n".join(_numbered([explained(lead) for lead in leads])))
        if out is not None:
            click.echo(f"\nwrote {out}")


def _numbered(lanes: list[str]) -> list[str]:
    """Return the texts of several lanes, each headed by its number."""
    if len(lanes) == 1:
        return lanes
    return [f"lane {place} of {len(lanes)}: {text}" for place, text in enumerate(lanes, 1)]


def _check_patterns(chart: Chart) -> None:
    """Raise where a chart names an unknown strum, bass or drum pattern, as a render would."""
    from porchswing.rhythm.patterns import KINDS, load_pattern_data

    by_bar = (settings for section in chart.sections for _, settings in section.settings)
    for settings, kind in product((chart.settings, *by_bar), KINDS):
        if (name := getattr(settings, kind)) is not None:
            load_pattern_data(kind, name)


def read_bar(text: str) -> tuple[str, int]:
    """Read ``A:7`` as section and bar."""
    section, _, bar = text.rpartition(":")
    if not section or not bar.isdigit() or bar == "0":
        raise OptionError(f"a lock is a section and a bar from 1, for example A:7, got {text!r}")
    return section, int(bar)


def read_place(text: str) -> tuple[str, int, int | None]:
    """Read ``B:5`` or ``B:5:3`` as section, bar and perhaps a beat."""
    section, *numbers = text.split(":")
    if section and len(numbers) in (1, 2) and all(n.isdigit() and n != "0" for n in numbers):
        return section, int(numbers[0]), int(numbers[1]) if len(numbers) > 1 else None
    raise OptionError(f"a place must be SECTION:BAR, for example B:5, got {text!r}")
