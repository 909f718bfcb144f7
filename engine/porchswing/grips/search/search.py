"""The cheapest choices of a network, exactly: the best one, or the k best different ones.

Options that cannot be part of any of the best choices are found by bounds and left out.
Where every grip of a chart has hundreds of rivals, the exact search would build huge tables.
So the loose ties are first replaced by what they cost at least; in the simpler problem that
is left, the least cost of every single option is known exactly, and no choice of the whole
problem with that option can cost less. Options that cost more than a choice already found
are out, and nothing is lost.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from porchswing.grips.search.network import (
    MAX_TABLE,
    Domains,
    Elimination,
    Network,
    Order,
    eliminate,
    elimination_order,
)
from porchswing.grips.search.table import Ints

EASY_TABLE = 300_000
"""Largest table of costs that is built many times over without a second thought."""

EASY_ONCE = 3_000_000
"""Largest table of costs that is built once rather than bounded first."""

FIRST_OPTIONS = (8, 4, 2, 1)
"""Options of each variable in the first, hopeful search; fewer where tables stay too large."""

Choice = tuple[int, tuple[int, ...]]
"""A cost and a full choice that has it."""

Decisions = Mapping[int, Ints]
"""The variables in which choices may differ, with a number for each option: options of one
number are one decision (a grip under several fingerings)."""


@dataclass(frozen=True, slots=True)
class Ranking:
    """The cheapest choices, in order, and whether they are proven to be the cheapest.

    They are, but for forms of a dozen sections and more that return in a tangle.
    """

    choices: tuple[Choice, ...]
    is_proven: bool = True


def best_choices(network: Network, decisions: Decisions, count: int) -> Ranking:
    """Return the ``count`` cheapest choices that differ in some of the ``decisions``.

    Fewer are returned where there are no more; among equals, the first in order.
    """
    order = elimination_order(network, {})
    easy = EASY_ONCE if count == 1 else EASY_TABLE
    if order.largest <= easy:
        return Ranking(_ranked(network, decisions, count, order, {}))
    least = least_costs(network)
    found = _hopeful(network, decisions, count, least)
    kept = hopeful_domains(least, found[-1][0]) if len(found) == count else {}
    order = elimination_order(network, kept)
    if count == 1 and order.largest > easy:
        found = (improved(network, found[0]),)
        kept = hopeful_domains(least, found[-1][0])
        order = elimination_order(network, kept)
    if order.largest > MAX_TABLE:
        return Ranking(found, is_proven=False)
    return Ranking(_ranked(network, decisions, count, order, kept))


def choices_within(
    network: Network, decisions: Decisions, count: int, domains: Domains
) -> tuple[Choice, ...]:
    """Return the cheapest choices that keep to some domains; few options are left in them."""
    return _ranked(network, decisions, count, elimination_order(network, domains), domains)


def _hopeful(
    network: Network, decisions: Decisions, count: int, least: Sequence[Ints]
) -> tuple[Choice, ...]:
    """Return good choices from the most hopeful options alone."""
    for wanted in FIRST_OPTIONS:
        few = {
            v: np.sort(np.argsort(costs, kind="stable")[:wanted])
            for v, costs in enumerate(least)
            if len(costs) > wanted
        }
        order = elimination_order(network, few)
        if order.largest <= MAX_TABLE:
            return _ranked(network, decisions, count, order, few)
    raise AssertionError("one option each always fits")


def improved(network: Network, start: Choice) -> Choice:
    """Return a choice that no new choice within any one block makes cheaper.

    A block is what tight factors hold together: a section with its lines.
    """
    best, groups = start, blocks(network)
    settled: set[frozenset[int]] = set()  # those that nothing has changed around since
    while len(settled) < len(groups):
        for block in groups:
            if block in settled:
                continue
            fixed = {v: np.array([option]) for v, option in enumerate(best[1]) if v not in block}
            order = elimination_order(network, fixed)
            found = (
                eliminate(network, order.variables, fixed) if order.largest <= MAX_TABLE else None
            )
            if found is not None and found[0] < best[0]:
                best = found
                settled.clear()
            settled.add(block)
    return best


def blocks(network: Network) -> tuple[frozenset[int], ...]:
    """Return the groups of variables that tight factors connect, in order."""
    group = list(range(len(network.sizes)))

    def root(v: int) -> int:
        while group[v] != v:
            v = group[v]
        return v

    for factor in network.factors:
        if not factor.loose:
            for v in factor.variables[1:]:
                group[root(v)] = root(factor.variables[0])
    members: dict[int, set[int]] = {}
    for v in range(len(group)):
        members.setdefault(root(v), set()).add(v)
    return tuple(frozenset(block) for block in members.values())


def _ranked(
    network: Network, decisions: Decisions, count: int, order: Order, within: Domains
) -> tuple[Choice, ...]:
    """Return the cheapest choices within some domains.

    Each answer splits what remains into parts that cannot hold it again, and each part is
    solved exactly (E. Lawler, Management Science 18(7), 1972; K. Murty, 1968).
    """
    queue: list[tuple[int, tuple[int, ...], int, dict[int, Ints]]] = []

    def put(domains: dict[int, Ints], free_from: int) -> None:
        solution = eliminate(network, order.variables, domains)
        if solution is not None:
            # parts are disjoint: no two entries share their decisions, none compares further
            heapq.heappush(queue, (*solution, free_from, domains))

    put({v: np.arange(network.sizes[v]) for v in decisions} | dict(within), 0)
    found: list[Choice] = []
    places = list(decisions)
    while queue:
        cost, choice, free_from, domains = heapq.heappop(queue)
        found.append((cost, choice))
        if len(found) == count:
            break
        same = {v: decisions[v][domains[v]] == decisions[v][choice[v]] for v in places[free_from:]}
        for place in range(free_from, len(places)):
            part = dict(domains)
            for earlier in places[free_from:place]:
                part[earlier] = domains[earlier][same[earlier]]
            v = places[place]
            part[v] = domains[v][~same[v]]
            put(part, place)
    return tuple(found)


# --- bounds ----------------------------------------------------------------------------------


def least_costs(network: Network) -> list[Ints]:
    """Return, for every option of every variable, the least any choice with it can cost.

    Exact where no factor is loose, a lower bound otherwise. Messages go up the elimination
    order and down again (as in a clique tree).
    """
    simple = loosened(network)
    order = elimination_order(simple, {}).variables
    steps: list[Elimination] = []
    solution = eliminate(simple, order, {}, steps)
    assert solution is not None
    total = solution[0]
    rank = {v: place for place, v in enumerate(order)}
    beliefs: dict[int, tuple[tuple[int, ...], Ints]] = {}
    found: list[Ints] = [np.zeros(0, np.int64)] * len(network.sizes)
    for step in reversed(steps):
        costs = step.costs
        if step.scope:
            parent = min(step.scope, key=rank.__getitem__)
            axes, belief = beliefs[parent]
            costs = costs + (_kept(axes, belief, step.scope) - costs.min(axis=0))
        else:  # what everything apart costs
            costs = costs + (total - int(costs.min()))
        beliefs[step.variable] = ((step.variable, *step.scope), costs)
        found[step.variable] = costs.min(axis=tuple(range(1, 1 + len(step.scope))))
    return found


def _kept(axes: tuple[int, ...], costs: Ints, scope: tuple[int, ...]) -> Ints:
    """Minimise a table over all axes but those of a scope, and bring them into its order."""
    gone = tuple(axis for axis, v in enumerate(axes) if v not in scope)
    left = [v for v in axes if v in scope]
    least: Ints = costs.min(axis=gone) if gone else costs
    return least.transpose([left.index(v) for v in scope])


def loosened(network: Network) -> Network:
    """Return the network with every loose factor shared out as its least costs per variable."""
    simple = Network(list(network.sizes), most=network.most)
    for factor in network.factors:
        if not factor.loose:
            simple.factors.append(factor)
            continue
        share = len(factor.variables)
        for axis, v in enumerate(factor.variables):
            others = tuple(other for other in range(share) if other != axis)
            simple.add([v], factor.costs.min(axis=others) // share)
    return simple


def hopeful_domains(least: Sequence[Ints], bound: int) -> Domains:
    """Return the options that a choice of cost ``bound`` or less may still hold."""
    return {v: np.flatnonzero(costs <= bound) for v, costs in enumerate(least)}
