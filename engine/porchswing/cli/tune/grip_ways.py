"""What ``porchswing grips`` prints of the ways through a tune, as text and as facts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, terminal
from porchswing.options import Choices

if TYPE_CHECKING:
    from porchswing.chart.model import Chart
    from porchswing.chart.roadmap import Roadmap
    from porchswing.grips.search.voice import LetGo
    from porchswing.grips.shapes.model import Voicing


def road_shown(chart: Chart, choices: Choices) -> Roadmap:
    """Return the tune as it is played, or the section asked for where the form leaves it out."""
    from porchswing.chart.unroll import unroll

    roadmap, section = unroll(chart, lane=choices.lane), choices.section
    if section is None or section in {bar.section for bar in roadmap.bars}:
        return roadmap
    return unroll(chart, lane=choices.lane, sections=(section,))  # or it is unknown


def show_ways(
    chart: Chart,
    roadmap: Roadmap,
    choices: Choices,
    ways: Sequence[Voicing],
    gains: Sequence[LetGo],
    files: Sequence[Path],
    asked: int,
    *,
    as_json: bool,
) -> None:
    """Print the best ways through a tune, of ``asked``, and the files written of the first.

    ``gains`` is what letting go of each locked grip would bring.
    """
    from porchswing.band.compose import seeded
    from porchswing.band.strumming.stroke_times import stroke_times
    from porchswing.grips.drawings.voicing_text import full_text, voicing_facts

    strokes = stroke_times(roadmap, seeded(choices.style, chart))
    drawn = (roadmap, choices.section, choices.line, strokes)
    if as_json:
        each = [voicing_facts(way, *drawn) for way in ways]
        more: dict[str, list[Any]] = {
            "ways": each if asked > 1 else [],
            "gains": [
                {"section": gain.section, "saves": gain.saves, "share": round(gain.share, 3)}
                for gain in gains
            ],
            "files": [str(path) for path in files],
        }
        base.show_json(each[0] | {key: rows for key, rows in more.items() if rows})
    else:
        terminal.show(f"\n\n{'=' * 40}\n\n".join(full_text(way, *drawn) for way in ways))
        few = f"no more than {len(ways)} ways differ in a tenth of their grips"
        if len(ways) == 1:
            few = "no other way differs in a tenth of its grips"
        missing = [few] if len(ways) < asked else []
        remarks = [f"\n{remark}\n" for remark in (*missing, *gains)]
        click.echo("".join([*remarks, *(f"wrote {path}\n" for path in files)]), nl=False)
