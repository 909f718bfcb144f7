"""What a line costs: one string that moves by step in one direction through the changes.

A line is a string and a direction. At every change it steps (a semitone is free, a whole
tone costs a little), is held, or is broken; going over to another string or turning round
is a new line. The path and its lines are chosen together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from porchswing.chart.model import LineTarget
from porchswing.errors import GripError
from porchswing.grips.search.cost import MOST_KEPT, change_costs, weight_steps
from porchswing.grips.search.network import Costs, narrowed
from porchswing.grips.search.table import GripTable, Ints
from porchswing.grips.shapes.hand import Hand, Weights
from porchswing.grips.shapes.model import Tuning

SEMITONE, WHOLE_TONE = 1, 2
"""The two steps a line may take."""

DIRECTIONS = {"down": -1, "up": 1}


@dataclass(frozen=True, slots=True)
class LineLabel:
    """One line to follow: the tuple ``index`` of its string and its ``direction``."""

    index: int
    direction: str


def free_labels(tuning: Tuning) -> tuple[LineLabel, ...]:
    """Return every line a tuning's strings can carry."""
    return tuple(LineLabel(index, way) for index in tuning.used for way in DIRECTIONS)


def asked_labels(target: LineTarget, tuning: Tuning) -> tuple[LineLabel, ...]:
    """Return the lines that satisfy a target; one without a string allows every string.

    Raises
    ------
    GripError
        For a string the tuning does not have or use.
    """
    strings = [tuning.strings - index for index in tuning.used]
    if target.string not in (None, *strings):
        words = ", ".join(map(str, strings))
        raise GripError(
            f"{tuning.name} has no string {target.string} to carry a line; it has {words}"
        )
    return tuple(
        label
        for label in free_labels(tuning)
        if target.string in (None, tuning.strings - label.index)
        and target.direction in (None, label.direction)
    )


def step_costs(
    before: GripTable, after: GripTable, labels: tuple[LineLabel, ...], hand: Hand, asked: bool
) -> Costs:
    """Return what each change costs the hand and each line together, (N, M, L) in cost steps.

    A line that was ``asked`` for weighs more.
    """
    is_kept = len(before) * len(after) <= MOST_KEPT
    return (_kept_step_costs if is_kept else _step_costs)(before, after, labels, hand, asked)


def _step_costs(
    before: GripTable, after: GripTable, labels: tuple[LineLabel, ...], hand: Hand, asked: bool
) -> Costs:
    costs = line_costs(before, after, labels, hand.weights)
    if asked:
        costs = np.rint(costs * hand.weights.line_asked).astype(np.int64)
    total = narrowed(change_costs(before, after, hand)[:, :, None] + costs)
    total.flags.writeable = False
    return total


_kept_step_costs = lru_cache(maxsize=512)(_step_costs)


def line_costs(
    before: GripTable, after: GripTable, labels: tuple[LineLabel, ...], weights: Weights
) -> Ints:
    """Return what each change costs each line, (N, M, L) in cost steps."""
    start = before.midi[:, [label.index for label in labels]][:, None, :]
    goal = after.midi[:, [label.index for label in labels]][None, :, :]
    ways = np.array([DIRECTIONS[label.direction] for label in labels], np.int64)
    steps = (goal - start) * ways
    costs = np.full(steps.shape, weight_steps(weights, "line_broken"), np.int64)
    costs[steps == SEMITONE] = 0
    costs[steps == WHOLE_TONE] = weight_steps(weights, "line_tone")
    costs[steps == 0] = weight_steps(weights, "line_held")
    silent = (start < 0) | (goal < 0)
    costs[np.broadcast_to(silent, costs.shape)] = weight_steps(weights, "line_broken")
    return costs


@cache
def turn_costs(labels: int, weights: Weights) -> Ints:
    """Return what going from one line to another costs, (L, L) in cost steps."""
    return (1 - np.eye(labels, dtype=np.int64)) * weight_steps(weights, "line_new")
