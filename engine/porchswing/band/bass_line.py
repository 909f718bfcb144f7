"""The bass line of least cost: dynamic programming over candidates, spot after spot.

A state is the pitch and how the line came to it (leap or step, down or up, or a repeat), so
that the rules can look two notes back: no leap over an octave, no note three times running
(a pedal may), a leap seldom followed by another the same way. Costs are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from random import Random

from porchswing.band.bass_notes import FREE, Candidate, Spot, candidates
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

HOPELESS_COST = 3.0
"""A state this much dearer than the best is dropped: no continuation makes up for it."""

_MOVES = (-2, -1, 0, 1, 2)


def _move(interval: int) -> int:
    """Return -2 or 2 for a leap down or up, -1 or 1 for a smaller move, 0 for a repeat."""
    if interval == 0:
        return 0
    size = 2 if abs(interval) >= LEAP else 1
    return size if interval > 0 else -size


def _step_costs(before: int) -> tuple[float, ...]:
    """Return the cost of intervals -12 to 12 after a move, as a row indexed from -12."""
    row = []
    for interval in range(-OCTAVE, OCTAVE + 1):
        cost, move = INTERVAL_COST[abs(interval)], _move(interval)
        if before * move < 0:
            cost += TURN_COST
        if abs(before) == 2 and before == move:
            cost += SECOND_LEAP_COST
        row.append(cost)
    return tuple(row)


_MOVE_OF = tuple(_move(interval) for interval in range(-OCTAVE, OCTAVE + 1))
_STEP_COSTS = {before: _step_costs(before) for before in _MOVES}
_State = tuple[int, int]
_Best = dict[_State, tuple[float, _State | None]]


def best_line(spots: Sequence[Spot], key: Key, seed: int) -> tuple[int, ...]:
    """Return the pitch (MIDI note) of every spot: the line of least cost.

    Chance enters through a small random cost of each candidate, seeded by the bar it stands in.
    """
    table: list[_Best] = []
    leaves: dict[int, int] = {}
    chance, bar = Random(), -1
    for spot in spots:
        if spot.bar != bar:
            bar = spot.bar
            chance = Random(f"{seed}/bass/{bar}/line")
        choices = candidates(spot.word, spot.chord, key, spot.entry, spot.following, spot.final)
        costs = [choice.cost + CHANCE_COST * chance.random() for choice in choices]
        if not table:
            best: _Best = {
                (choice.pitch, 0): (cost, None) for choice, cost in zip(choices, costs, strict=True)
            }
        else:
            best = _advance(table[-1], leaves, choices, costs, may_repeat=spot.word == "pedal")
        leaves = {choice.pitch: choice.leave for choice in choices}
        table.append(best)
    return _trace(table)


def _advance(
    before: _Best,
    leaves: dict[int, int],
    choices: Sequence[Candidate],
    costs: Sequence[float],
    *,
    may_repeat: bool,
) -> _Best:
    """Return the best way to each state of the next spot."""
    best: _Best = {}
    worth = min(total for total, _ in before.values()) + HOPELESS_COST
    for state, (total, _) in before.items():
        if total > worth:
            continue
        from_pitch, leave, row = state[0], leaves[state[0]], _STEP_COSTS[state[1]]
        stay = _stay_cost(state, leave, may_repeat=may_repeat)
        for choice, own in zip(choices, costs, strict=True):
            interval = choice.pitch - from_pitch
            if not -leave <= interval <= leave:
                continue
            cost = total + own + (row[interval + OCTAVE] if interval else stay)
            reached = (choice.pitch, _MOVE_OF[interval + OCTAVE])
            known = best.get(reached)
            if known is None or cost < known[0]:
                best[reached] = (cost, state)
    return best


def _stay_cost(state: _State, leave: int, *, may_repeat: bool) -> float:
    """Return the cost of sounding the same pitch again; infinite where a rule forbids it."""
    if may_repeat:
        return 0.0
    return inf if leave < FREE or state[1] == 0 else INTERVAL_COST[0]


def _trace(table: Sequence[_Best]) -> tuple[int, ...]:
    """Follow the cheapest end back to the start."""
    if not table:
        return ()
    state: _State | None = min(table[-1], key=lambda s: (table[-1][s][0], s))
    pitches = []
    for best in reversed(table):
        assert state is not None
        pitches.append(state[0])
        state = best[state][1]
    return tuple(reversed(pitches))
