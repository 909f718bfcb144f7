"""What a student learns with a tune, and which hard changes of the tunes before it are due.

A tune brings shapes, swaps, strums and changes of shape. For each lesson those hard changes of
earlier tunes are due that were played longest ago and are not in its own tune. For what studies
found about reviews see :mod:`porchswing.course.ledger`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from typing import NamedTuple

from porchswing.band.compose import seeded
from porchswing.band.strumming.stroke_times import stroke_times
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.grips.drawings.moves import Move, hardest_moves, moves
from porchswing.grips.shapes.hand import Ease, KnownShape
from porchswing.grips.shapes.model import Shape, lowest_fret, shape_of
from porchswing.grips.vocabulary.tune_shapes import TuneShape, tune_shapes
from porchswing.options import Choices
from porchswing.rhythm.strum import strum_for
from porchswing.take import lead_and_grips, road_of

HARD_CHANGES = 3
"""Hard changes that a tune is remembered by."""

Change = tuple[Shape, Shape, int]
"""From shape to shape, and by how many frets the second lies higher."""


@dataclass(frozen=True, slots=True)
class Met:
    """What a student has met: shapes, swaps, strums, changes of shape, sections of this tune."""

    shapes: frozenset[Shape] = frozenset()
    swaps: frozenset[str] = frozenset()
    strums: frozenset[str] = frozenset()
    changes: frozenset[Change] = frozenset()
    sections: frozenset[str] = frozenset()

    def with_(self, other: Met) -> Met:
        """Return what was met here and there."""
        return Met(
            self.shapes | other.shapes,
            self.swaps | other.swaps,
            self.strums | other.strums,
            self.changes | other.changes,
            self.sections | other.sections,
        )

    def beyond(self, before: Met) -> Met:
        """Return what is here and was not met before."""
        return Met(
            self.shapes - before.shapes,
            self.swaps - before.swaps,
            self.strums - before.strums,
            self.changes - before.changes,
            self.sections - before.sections,
        )

    @property
    def things(self) -> int:
        """How many things to learn: shapes, swaps and strums."""
        return len(self.shapes) + len(self.swaps) + len(self.strums)

    @property
    def known_shapes(self) -> tuple[KnownShape, ...]:
        """The shapes as a hand profile lists them, in a settled order."""
        ordered = sorted(self.shapes, key=lambda shape: (str(shape), shape.is_movable))
        return tuple(KnownShape(s.frets, s.fingers, s.is_movable) for s in ordered)


NOTHING_MET = Met()
"""What a student has met before the first tune."""


@dataclass(frozen=True, slots=True)
class TuneContent:
    """The content of one tune: its things, its shapes with names, its hardest changes."""

    file: str
    title: str
    met: Met
    shapes: tuple[TuneShape, ...]
    hardest: tuple[Move, ...]


def tune_content(chart: Chart, name: str, choices: Choices) -> TuneContent:
    """Return the content of a tune, played as chosen."""
    lead, voicing = lead_and_grips(chart, choices)
    road = road_of(lead.chart, replace(choices, choruses=1))
    shapes = tune_shapes(voicing)
    met = Met(
        shapes=frozenset(each.shape for each in shapes),
        swaps=frozenset(swap.name for swap in lead.swaps),
        strums=frozenset(
            strum_for(choices.style.strum or bar.settings.strum, road.meter).name
            for bar in road.bars
        ),
        changes=frozenset(filter(None, map(change_of, moves(voicing, road)))),
    )
    strokes = stroke_times(road, seeded(choices.style, lead.chart))
    hardest = hardest_moves(voicing, road, HARD_CHANGES, strokes=strokes)
    return TuneContent(name, lead.chart.title, met, shapes, hardest)


def change_of(move: Move) -> Change | None:
    """Return a change as shapes, wherever on the neck it is made."""
    before, after = move.before.grip, move.after.grip
    if before is None or after is None:
        return None
    return shape_of(before), shape_of(after), lowest_fret(after) - lowest_fret(before)


def knowing(ease: Ease | None, met: Met) -> Ease:
    """Return a hand profile with the shapes that were met among its known ones."""
    base = ease or Ease()
    limits = dict(base.limits)
    limits["known"] = (*limits.get("known", ()), *met.known_shapes)
    return replace(base, limits=tuple(limits.items()))


# --- what is due for review ----------------------------------------------------------------------

REVIEWED = 2
"""How many of the hard changes met before a lesson reviews."""


@dataclass(frozen=True, slots=True)
class EarlierTune:
    """A tune that was learned before: its chart as text, and how it is played."""

    chart_text: str
    chart_name: str
    choices: Choices


class DueChange(NamedTuple):
    """A hard change that is due: of which tune, by its place in the order, and the move."""

    tune: int
    move: Move


@lru_cache(maxsize=100)
def content_of(tune: EarlierTune) -> TuneContent:
    """Return what a student learns with a tune."""
    return tune_content(
        parse_chart(tune.chart_text, tune.chart_name), tune.chart_name, tune.choices
    )


def met_in_all(tunes: Sequence[EarlierTune]) -> Met:
    """Return what tunes bring together."""
    return reduce(Met.with_, (content_of(tune).met for tune in tunes), NOTHING_MET)


def due_changes(contents: Sequence[TuneContent]) -> list[tuple[DueChange, ...]]:
    """Return for each tune, in their order, the hard changes it reviews of those before it."""
    last_played: dict[Change, int] = {}
    hard: dict[Change, DueChange] = {}
    reviewed: Counter[Change] = Counter()
    found = []
    for number, content in enumerate(contents):
        due = sorted(
            (change for change in hard if change not in content.met.changes),
            key=lambda change: (last_played[change], reviewed[change], list(hard).index(change)),
        )[:REVIEWED]
        reviewed.update(due)
        found.append(tuple(hard[change] for change in due))
        for change in (*content.met.changes, *due):
            last_played[change] = number
        for move in content.hardest:
            if (made := change_of(move)) is not None:
                hard.setdefault(made, DueChange(number, move))
    return found
