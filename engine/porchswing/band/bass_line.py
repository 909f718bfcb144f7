"""The bass line of least cost: dynamic programming over candidates, spot after spot.

A state is the pitch and the move that led to it (leap or step, down or up, or a repeat), so
that the rules can look two notes back: no leap over an octave, no note three times running
(a pedal may), a leap seldom followed by another the same way. Costs are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from random import Random

from porchswing.band.bass_notes import FREE, Spot, candidates
from porchswing.theory.keys import Key

OCTAVE = 12
LEAP = 5
"""Semitones from which a move counts as a leap."""

# semitones: cost of moving that far (0 is a repeated note)
INTERVAL_COST = (1.5, 0.0, 0.0, 0.35, 0.45, 0.55, 1.4, 0.7, 1.5, 1.6, 2.2, 3.0, 1.0)
TURN_COST = 0.15
SECOND_LEAP_COST = 1.0
CHANCE_COST = 0.7
"""Largest random cost of one candidate: what keeps two choruses from being alike."""

REPEAT, STEP_UP, LEAP_UP, LEAP_DOWN, STEP_DOWN = 0, 1, 2, -2, -1
MOVES = (REPEAT, STEP_UP, LEAP_UP, LEAP_DOWN, STEP_DOWN)
"""Moves in the order of a sequence they index, from the front upward and from the back down."""

# both indexed by the interval itself, -12 to 12
_MOVE_COST = (*INTERVAL_COST, *reversed(INTERVAL_COST[1:]))
_MOVE_OF = (
    *(REPEAT if not i else STEP_UP if i < LEAP else LEAP_UP for i in range(OCTAVE + 1)),
    *(LEAP_DOWN if i <= -LEAP else STEP_DOWN for i in range(-OCTAVE, 0)),
)


@dataclass(slots=True)
class _Reached:
    """One pitch at one spot: by the move that led to it, the least cost and where it came from."""

    costs: list[float]
    origins: list[tuple[int, int]]


_Layer = dict[int, _Reached]
_NOWHERE = (0, 0)


def best_line(spots: Sequence[Spot], key: Key, seed: int) -> tuple[int, ...]:
    """Return the pitch (MIDI note) of every spot: the line of least cost.

    Chance enters through a small random cost of each candidate, seeded by the bar it stands in.
    """
    layers: list[_Layer] = []
    leaves: dict[int, int] = {}
    chance, bar = Random(), -1
    for spot in spots:
        if spot.bar != bar:
            bar = spot.bar
            chance = Random(f"{seed}/bass/{bar}/line")
        choices = candidates(spot.word, spot.chord, key, spot.entry, spot.following, spot.final)
        layer = {c.pitch: _Reached([inf] * len(MOVES), [_NOWHERE] * len(MOVES)) for c in choices}
        if layers:
            _reach(layers[-1], layer, leaves, may_repeat=spot.word == "pedal")
        else:
            for reached in layer.values():
                reached.costs[STEP_UP] = 0.0
        for choice in choices:
            own = choice.cost + CHANCE_COST * chance.random()
            reached = layer[choice.pitch]
            reached.costs = [cost + own for cost in reached.costs]
        leaves = {choice.pitch: choice.leave for choice in choices}
        layers.append(layer)
    return _trace(layers)


def _reach(before: _Layer, after: _Layer, leaves: dict[int, int], *, may_repeat: bool) -> None:
    """Fill the next spot's pitches with the cheapest way to each, move by move."""
    for from_pitch, reached in before.items():
        leave = leaves[from_pitch]
        totals, moves = _onward(reached.costs)
        if may_repeat:
            totals[REPEAT] = min(reached.costs) - INTERVAL_COST[0]
            moves[REPEAT] = MOVES[reached.costs.index(min(reached.costs))]
        elif leave < FREE:
            totals[REPEAT] = inf
        near = range(from_pitch - leave, from_pitch + leave + 1) if leave < FREE else after
        for pitch in near:
            interval = pitch - from_pitch
            if pitch not in after or not -OCTAVE <= interval <= OCTAVE:
                continue
            move = _MOVE_OF[interval]
            cost = totals[move] + _MOVE_COST[interval]
            target = after[pitch]
            if cost < target.costs[move]:
                target.costs[move] = cost
                target.origins[move] = (from_pitch, moves[move])


def _onward(costs: Sequence[float]) -> tuple[list[float], list[int]]:
    """Return, for every next move, the least cost so far and the move it continues.

    What two moves in a row cost depends on them alone: a turn costs a little, a second leap the
    same way more, and a note repeated twice is out of the question.
    """
    repeat, step_up, leap_up, leap_down, step_down = costs
    up, by_up = (step_up, STEP_UP) if step_up <= leap_up else (leap_up, LEAP_UP)
    down, by_down = (step_down, STEP_DOWN) if step_down <= leap_down else (leap_down, LEAP_DOWN)
    totals, moves = [up, up, up, down, down], [by_up, by_up, by_up, by_down, by_down]
    if down < up:
        totals[REPEAT], moves[REPEAT] = down, by_down
    if step_up < leap_up + SECOND_LEAP_COST:
        totals[LEAP_UP], moves[LEAP_UP] = step_up, STEP_UP
    else:
        totals[LEAP_UP], moves[LEAP_UP] = leap_up + SECOND_LEAP_COST, LEAP_UP
    if step_down < leap_down + SECOND_LEAP_COST:
        totals[LEAP_DOWN], moves[LEAP_DOWN] = step_down, STEP_DOWN
    else:
        totals[LEAP_DOWN], moves[LEAP_DOWN] = leap_down + SECOND_LEAP_COST, LEAP_DOWN
    for move, other, by_other in (
        (STEP_UP, down, by_down),
        (LEAP_UP, down, by_down),
        (STEP_DOWN, up, by_up),
        (LEAP_DOWN, up, by_up),
    ):
        if other + TURN_COST < totals[move]:
            totals[move], moves[move] = other + TURN_COST, by_other
        if repeat < totals[move]:
            totals[move], moves[move] = repeat, REPEAT
    return totals, moves


def _trace(layers: Sequence[_Layer]) -> tuple[int, ...]:
    """Follow the cheapest end back to the start."""
    if not layers:
        return ()
    ends = (
        (cost, pitch, move)
        for pitch, r in layers[-1].items()
        for cost, move in zip(r.costs, MOVES, strict=True)
    )
    _, pitch, move = min(ends)
    pitches = []
    for layer in reversed(layers):
        pitches.append(pitch)
        pitch, move = layer[pitch].origins[move]
    return tuple(reversed(pitches))
