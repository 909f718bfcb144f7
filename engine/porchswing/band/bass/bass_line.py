"""The bass line of least cost: dynamic programming over candidates, spot after spot.

A state is the pitch and the move that led to it (leap or step, down or up, or a repeat), so
that the rules can look two notes back: no leap over an octave, no note three times running
(a pedal may), a leap seldom followed by another the same way. Costs are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import zip_longest
from math import inf
from operator import add
from random import Random
from typing import NamedTuple

from porchswing.band.bass.bass_notes import FREE, BassOnset, Candidate, candidates
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


_Way = tuple[int, int, float]
"""A move to a candidate of the next spot: the move, the candidate's place there, and the cost."""


class _Layer(NamedTuple):
    """One spot: its candidates, and for each move the least cost of coming to each of them so."""

    choices: tuple[Candidate, ...]
    costs: list[list[float]]
    may_repeat: bool


def best_line(spots: Sequence[BassOnset], key: Key, seed: int) -> tuple[int, ...]:
    """Return the pitch (MIDI note) of every spot: the line of least cost.

    Chance enters through a small random cost of each candidate, seeded by its bar.
    """
    layers: list[_Layer] = []
    chance, bar = Random(), -1
    for spot, after in zip_longest(spots, spots[1:]):
        if spot.bar != bar:
            bar = spot.bar
            chance = Random(f"{seed}/bass/{bar}/line")
        choices, may_repeat = candidates(spot, after, key), spot.word == "pedal"
        if layers:
            least = _reached(layers[-1], choices, may_repeat)
        else:
            least = [[0.0] * len(choices) for _ in MOVES]
        own = [choice.cost + CHANCE_COST * chance.random() for choice in choices]
        layers.append(_Layer(choices, [list(map(add, row, own)) for row in least], may_repeat))
    return _trace(layers)


def _reached(before: _Layer, choices: tuple[Candidate, ...], may_repeat: bool) -> list[list[float]]:
    """Return for each move the least cost of coming so to each candidate of the next spot."""
    least = [[inf] * len(choices) for _ in MOVES]
    rows = zip(before.choices, zip(*before.costs, strict=True), strict=True)
    for (choice, costs), ways in zip(rows, _ways(before.choices, choices), strict=True):
        totals = _onward(*costs)
        if may_repeat:
            totals[REPEAT] = min(costs) - INTERVAL_COST[0]
        elif choice.leave < FREE:
            totals[REPEAT] = inf
        for move, place, cost in ways:
            total, row = totals[move] + cost, least[move]
            if total < row[place]:
                row[place] = total
    return least


@lru_cache(maxsize=4096)
def _ways(
    before: tuple[Candidate, ...], after: tuple[Candidate, ...]
) -> tuple[tuple[_Way, ...], ...]:
    """Return the ways that lead on from each candidate of a spot; moves count from the front."""
    found = []
    for choice in before:
        ways = []
        most = min(choice.leave, OCTAVE)
        for place, goal in enumerate(after):
            interval = goal.pitch - choice.pitch
            if -most <= interval <= most:
                ways.append((_MOVE_OF[interval] % len(MOVES), place, _MOVE_COST[interval]))
        found.append(tuple(ways))
    return tuple(found)


def _onward(
    repeat: float, step_up: float, leap_up: float, leap_down: float, step_down: float
) -> list[float]:
    """Return the least cost so far from which each next move can be made.

    What two moves in a row cost depends on them alone (:func:`_pair_cost`), so it is settled
    here once for all pitches.
    """
    up = step_up if step_up < leap_up else leap_up
    down = step_down if step_down < leap_down else leap_down
    turn_up, turn_down = down + TURN_COST, up + TURN_COST
    from_below = repeat if repeat < turn_up else turn_up
    from_above = repeat if repeat < turn_down else turn_down
    return [
        up if up < down else down,
        up if up < from_below else from_below,
        min(step_up, leap_up + SECOND_LEAP_COST, from_below),
        min(step_down, leap_down + SECOND_LEAP_COST, from_above),
        down if down < from_above else from_above,
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
    last = layers[-1]
    _, pitch, move = min(
        (cost, choice.pitch, move)
        for move, costs in zip(MOVES, last.costs, strict=True)
        for choice, cost in zip(last.choices, costs, strict=True)
    )
    pitches = [pitch]
    for before, after in zip(layers[-2::-1], layers[:0:-1], strict=True):
        pitch, move = _origin(before, pitch, move, may_repeat=after.may_repeat)
        pitches.append(pitch)
    return tuple(reversed(pitches))


def _origin(before: _Layer, pitch: int, move: int, *, may_repeat: bool) -> tuple[int, int]:
    """Return the pitch and the move from which a pitch was reached by a move at least cost."""
    found = []
    pair_costs = [_pair_cost(by, move, may_repeat) for by in MOVES]
    for choice, costs in zip(before.choices, zip(*before.costs, strict=True), strict=True):
        interval, leave = pitch - choice.pitch, choice.leave
        if not -leave <= interval <= leave or _MOVE_OF[interval] != move:
            continue
        if move == REPEAT and leave < FREE and not may_repeat:
            continue
        for by, cost, pair_cost in zip(MOVES, costs, pair_costs, strict=True):
            found.append((cost + pair_cost + _MOVE_COST[interval], choice.pitch, by))
    _, from_pitch, by = min(found)
    return from_pitch, by
