"""How few shapes a tune can be played with, and what each number of them costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from porchswing.chart.model import Chart
from porchswing.grips.search.form_voicing import lay_out
from porchswing.grips.search.shape_search import ShapeSearch, few_shapes
from porchswing.grips.search.voice import request_of
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The best way with so many ``shapes``; ``is_proven`` says that none costs less."""

    shapes: int
    cost: float
    is_proven: bool
    voicing: Voicing


def shape_curve(
    lead: Lead | Chart, *, tries: int | None = None, **wishes: Any
) -> tuple[CurvePoint, ...]:
    """Return the best way for each number of shapes, from the fewest that do.

    The last point is the cheapest way of all. ``wishes`` are those of
    :func:`porchswing.grips.search.voice.voice`; known shapes count as well.
    """
    layout = lay_out(request_of(lead, **wishes))
    if not layout.tables:
        return ()
    search = ShapeSearch.of(layout)
    found: list[CurvePoint] = []
    most = len(layout.tables)
    while most:
        way = few_shapes(search, most, tries)
        if way is None:
            break
        voicing = layout.voicing(way.choice, way.cost, is_proven=way.is_proven)
        found.append(CurvePoint(len(way.shapes), voicing.cost, voicing.is_proven, voicing))
        most = len(way.shapes) - 1
    return tuple(reversed(found))
