"""The bass line of least cost: dynamic programming over candidates, spot after spot.

A state is the pitch and the move that led to it (leap or step, down or up, or a repeat), so
that the rules can look two notes back: no leap over an octave, no note three times running
(a pedal may), a leap seldom followed by another the same way. Costs are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from random import Random
from typing import NamedTuple

from porchswing.band.bass_notes import FREE, Spot, candidates
from porchswing.theory.keys import Key

OCTAVE = 12
LEAP = 5
"""Semitones from which a move counts as a leap."""

# semitones: cost of moving that far (0 is a repeated note)
INTERVAL_COST = (1.3, 0.0, 0.0, 0.12, 0.2, 0.3, 1.3, 0.4, 1.2, 1.3, 2.0, 3.0, 0.8)
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


class _Layer(NamedTuple):
    """One spot: the least cost of each pitch by the move that led to it, and its way on."""

    costs: dict[int, list[float]]
    leaves: dict[int, int]
    may_repeat: bool


def best_line(spots: Sequence[Spot], key: Key, seed: int) -> tuple[int, ...]:
    """Return the pitch (MIDI note) of every spot: the line of least cost.

    Chance enters through a small random cost of each candidate, seeded by the bar it stands in.
    """
    layers: list[_Layer] = []
    chance, bar = Random(), -1
    for spot in spots:
        if spot.bar != bar:
            bar = spot.bar
            chance = Random(f"{seed}/bass/{bar}/line")
        choices = candidates(spot.word, spot.chord, key, spot.entry, spot.following, spot.final)
        leaves = {choice.pitch: choice.leave for choice in choices}
        layer = _Layer(
            {pitch: [inf] * len(MOVES) for pitch in leaves}, leaves, spot.word == "pedal"
        )
        if layers:
            _reach(layers[-1], layer)
        else:
            for costs in layer.costs.values():
                costs[:] = [0.0] * len(MOVES)
        for choice in choices:
            own = choice.cost + CHANCE_COST * chance.random()
            layer.costs[choice.pitch] = [cost + own for cost in layer.costs[choice.pitch]]
        layers.append(layer)
    return _trace(layers)


def _reach(before: _Layer, after: _Layer) -> None:
    """Fill the next spot's pitches with the least cost of reaching each, move by move."""
    targets = after.costs
    for from_pitch, costs in before.costs.items():
        leave = before.leaves[from_pitch]
        totals = _onward(costs)
        if after.may_repeat:
            totals[REPEAT] = min(costs) - INTERVAL_COST[0]
        elif leave < FREE:
            totals[REPEAT] = inf
        near = range(from_pitch - leave, from_pitch + leave + 1) if leave < FREE else targets
        for pitch in near:
            interval = pitch - from_pitch
            if pitch in targets and -OCTAVE <= interval <= OCTAVE:
                move = _MOVE_OF[interval]
                cost = totals[move] + _MOVE_COST[interval]
                if cost < targets[pitch][move]:
                    targets[pitch][move] = cost


def _onward(costs: Sequence[float]) -> list[float]:
    """Return the least cost so far from which each next move can be made.

    What two moves in a row cost depends on them alone (:func:`_pair_cost`), so it is settled
    here once for all pitches.
    """
    repeat, step_up, leap_up, leap_down, step_down = costs
    up, down = min(step_up, leap_up), min(step_down, leap_down)
    from_below, from_above = min(repeat, down + TURN_COST), min(repeat, up + TURN_COST)
    return [
        min(up, down),
        min(up, from_below),
        min(step_up, leap_up + SECOND_LEAP_COST, from_below),
        min(step_down, leap_down + SECOND_LEAP_COST, from_above),
        min(down, from_above),
    ]


def _pair_cost(before: int, move: int, may_repeat: bool) -> float:
    """Return what a move costs because of the one before it; infinite where a rule forbids it."""
    if move == REPEAT:
        if may_repeat:
            return -INTERVAL_COST[0]
        return inf if before == REPEAT else 0.0
    if before == move and move in {LEAP_UP, LEAP_DOWN}:
        return SECOND_LEAP_COST
    return TURN_COST if before * move < 0 else 0.0


def _trace(layers: Sequence[_Layer]) -> tuple[int, ...]:
    """Follow the cheapest end back to the start."""
    if not layers:
        return ()
    last = layers[-1].costs
    _, pitch, move = min(
        (costs[move], pitch, move) for pitch, costs in last.items() for move in MOVES
    )
    pitches = [pitch]
    for before, after in zip(layers[-2::-1], layers[:0:-1], strict=True):
        pitch, move = _origin(before, pitch, move, may_repeat=after.may_repeat)
        pitches.append(pitch)
    return tuple(reversed(pitches))


def _origin(before: _Layer, pitch: int, move: int, *, may_repeat: bool) -> tuple[int, int]:
    """Return the pitch and the move from which a pitch was reached by a move at least cost."""
    ways = []
    for from_pitch, costs in before.costs.items():
        interval, leave = pitch - from_pitch, before.leaves[from_pitch]
        if not -leave <= interval <= leave or _MOVE_OF[interval] != move:
            continue
        if move == REPEAT and leave < FREE and not may_repeat:
            continue
        for by in MOVES:
            total = costs[by] + _pair_cost(by, move, may_repeat) + _MOVE_COST[interval]
            ways.append((total, from_pitch, by))
    _, from_pitch, by = min(ways)
    return from_pitch, by
