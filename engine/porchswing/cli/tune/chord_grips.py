"""What ``porchswing grips --chord`` shows: every grip of one chord, the easiest first."""

from __future__ import annotations

from porchswing.cli import base
from porchswing.options import Choices

MOST = 24
"""Most grips that are drawn; ``--best`` asks for fewer."""


def show_chord(symbol: str, choices: Choices, most: int, answer: base.Answer) -> None:
    """Print the grips of a chord under a take's choices."""
    from porchswing.grips.drawings.diagram import beside, grip_text
    from porchswing.grips.grips_of import grips_of

    found = grips_of(
        symbol,
        choices.tuning or "gCEA",
        grips=choices.grips or "any",
        max_fret=choices.max_fret,
        max_stretch=choices.max_stretch,
        ease=choices.ease,
        mutes=choices.mutes,
    )[:most]
    rows = [{"frets": list(grip.frets), "midi": list(grip.midi)} for grip in found]
    answer.show(
        {"symbol": symbol, "tuning": found[0].tuning.name, "grips": rows},
        *beside([grip_text(grip, str(grip)) for grip in found]),
    )
