"""The strokes of one bar drawn for a film: the one struck last and the beat are lit."""

from __future__ import annotations

from porchswing.chart.model import Meter
from porchswing.grips.drawings.diagram import PLATE_INK
from porchswing.pages.film.scenes import Scene
from porchswing.pages.handout.strum_drawing import (
    BEAT_WIDTH,
    HEIGHT,
    LINE_Y,
    felt_beats,
    place_x,
    strum_svg,
)
from porchswing.rhythm.strum import StrumBar

GLOW = "#ffc65c"
"""The colour of what is lit, our pages' own (``glow`` of ``look.css``)."""

LIGHT_WIDTH, LIGHT_TOP = 17.0, 1.0
BEAT_HEIGHT = 15.0


def strum_lane_svg(scene: Scene, meter: Meter) -> str:
    """Return the bar of a scene as an SVG element."""
    behind = []
    if scene.lit is not None:
        behind.append(_light(place_x(scene.cells[scene.lit].at), LIGHT_TOP, LINE_Y - 2 - LIGHT_TOP))
    if scene.beat is not None:
        x = place_x(felt_beats(meter)[scene.beat])
        behind.append(_light(x, HEIGHT - BEAT_HEIGHT, BEAT_HEIGHT))
    return strum_svg(StrumBar("groove", scene.cells), meter, ink=PLATE_INK, behind=behind)


def _light(x: float, top: float, height: float) -> str:
    width = min(LIGHT_WIDTH, BEAT_WIDTH)
    return (
        f'<rect x="{x - width / 2:g}" y="{top:g}" width="{width:g}" height="{height:g}" rx="5" '
        f'fill="{GLOW}"/>'
    )
