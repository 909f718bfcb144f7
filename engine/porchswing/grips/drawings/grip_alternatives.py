"""What could be gripped at one place of a chart, with the work before and after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from porchswing.chart.model import Chart, Place
from porchswing.chart.roadmap import with_onsets
from porchswing.errors import GripError
from porchswing.grips.drawings.moves import hand_words
from porchswing.grips.search.cost import UNIT
from porchswing.grips.search.form_voicing import Layout, lay_out
from porchswing.grips.search.search import best_choices, choices_within
from porchswing.grips.search.voice import request_of
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.work import change_time_ms
from porchswing.harmony.choice.lead import Lead


@dataclass(frozen=True, slots=True)
class GripStep:
    """A change to or from a neighbour: the work in words, the time."""

    words: tuple[str, ...]
    needs_ms: float


@dataclass(frozen=True, slots=True)
class GripAlternative:
    """One grip for a place, its neighbours as chosen for the whole chart.

    ``cost`` is the chart's with this grip, ``more`` how much that is above the chosen one.
    ``before`` and ``after`` are the changes into and out of it, in the order they are played.
    ``places`` are the written places that hold it: a chord repeated keeps its grip.
    """

    grip: Grip
    cost: float
    more: float
    before: tuple[GripStep, ...]
    after: tuple[GripStep, ...]
    places: tuple[tuple[str, int, int], ...]


def grip_alternatives(
    lead: Lead | Chart, place: Place, count: int = 8, **wishes: Any
) -> tuple[GripAlternative, ...]:
    r"""Return the ``count`` best grips at one place, the other grips as chosen for the chart.

    The fingers of the other grips may change to suit.

    Parameters
    ----------
    place
        Section, bar (from 1) and beat (from 1, in units of the meter).
    wishes
        What is asked of the grips, as in :func:`porchswing.grips.search.voice.voice`.

    Raises
    ------
    GripError
        Where no chord enters at the place, or no grip can be found.

    >>> from porchswing.chart.language.reader import parse_chart
    >>> chart = parse_chart("[A]\n| Dm7 G7 | Cmaj7 |")
    >>> [str(each.grip) for each in grip_alternatives(chart, ("A", 1, 3), 3)]
    ['7778', '10-7-7-8', '10-7-7-10']
    """
    layout = lay_out(request_of(lead, **wishes))
    run = _run_at(layout, place)
    network = layout.network
    cost, chosen = best_choices(network, layout.decisions, 1).choices[0]
    others = {
        v: np.flatnonzero(grips == grips[chosen[v]])
        for v, grips in layout.decisions.items()
        if v != run
    }
    pace = layout.request.hand.pace
    found = []
    for total, choice in choices_within(network, {run: layout.tables[run].grip_of}, count, others):
        # a choice goes on beyond the runs, with the lines
        grips = [table.grips[option] for table, option in zip(layout.tables, choice, strict=False)]
        found.append(
            GripAlternative(
                grip=grips[run],
                cost=total / UNIT,
                more=(total - cost) / UNIT,
                before=tuple(
                    _step(grips[start], grips[run], pace)
                    for start, goal in layout.form.changes
                    if goal == run != start
                ),
                after=tuple(
                    _step(grips[run], grips[goal], pace)
                    for start, goal in layout.form.changes
                    if start == run != goal
                ),
                places=tuple(key[:3] for key in layout.form.runs[run].keys),
            )
        )
    return tuple(found)


def _run_at(layout: Layout, place: Place) -> int:
    section, bar, beat = place
    unit = layout.request.roadmap.meter.unit_beats
    for played in layout.request.roadmap.bars:
        if (played.section, played.bar) == (section, bar):
            for index, (onset, slot) in enumerate(with_onsets(played.slots)):
                key = (section, bar, index, played.pass_number if layout.form.by_pass else 0)
                if 1 + onset / unit == beat and slot.chord is not None:
                    return layout.form.run_of[key]
            raise GripError(f"no chord enters at beat {beat} of bar {bar} in {section}")
    raise GripError(f"no bar {bar} of {section} is played")


def _step(before: Grip, after: Grip, pace: float) -> GripStep:
    return GripStep(hand_words(before, after), change_time_ms(before, after, pace))
