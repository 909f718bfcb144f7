"""The shapes of a tune as text and facts: each drawn once, then what fewer of them would cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from porchswing.grips.drawings.diagram import beside, grip_text
from porchswing.grips.search.voice import CurvePoint
from porchswing.grips.shapes.model import Voicing
from porchswing.grips.vocabulary.tune_shapes import TuneShape, tune_shapes


def shape_facts(
    voicing: Voicing, curve: Sequence[CurvePoint] = (), section: str | None = None
) -> dict[str, Any]:
    """Return the shapes of a voicing and the curve as the JSON shape of ``grips --shapes``."""
    return {
        "shapes": [_facts(each) for each in tune_shapes(voicing, section)],
        "curve": [
            {"shapes": point.shapes, "cost": point.cost, "proven": point.is_proven}
            for point in curve
        ],
    }


def _facts(each: TuneShape) -> dict[str, Any]:
    return {
        "name": each.name,
        "frets": list(each.shape.frets),
        "fingers": list(each.shape.fingers),
        "movable": each.shape.is_movable,
        "known": each.is_known,
        "used": [
            {
                "symbol": str(use.chord),
                "fret": use.fret,
                "section": use.section,
                "bar": use.bar,
                "frets": list(use.grip.frets),
            }
            for use in each.uses
        ],
    }


def shapes_text(
    voicing: Voicing, curve: Sequence[CurvePoint] = (), section: str | None = None
) -> str:
    """Return the shapes of a voicing, drawn and listed, with the curve beneath."""
    found = tune_shapes(voicing, section)
    firsts = [each.uses[0] for each in found]
    drawn = [grip_text(use.grip, f"{number} {use.chord}") for number, use in enumerate(firsts, 1)]
    rows = [_headline(voicing, found), ""]
    for number, each in enumerate(found, 1):
        mark = " (new)" if voicing.hand.known and not each.is_known else ""
        rows.append(f"{number:>2}  {each}{mark}")
    rows += ["", *beside(drawn)]
    if curve:
        rows += ["", "fewer shapes, and what they cost:"]
        for point in curve:
            proof = "" if point.is_proven else "  (the best found; not proven)"
            rows.append(f"  {point.shapes:>2} shapes: {point.cost:.2f}{proof}")
    return "\n".join(rows)


def _headline(voicing: Voicing, found: Sequence[TuneShape]) -> str:
    new = sum(not each.is_known for each in found)
    words = f"{voicing.tuning.name}, {voicing.lane} lane: {len(found)} shapes"
    return words + (f", {new} of them new" if voicing.hand.known else "")
