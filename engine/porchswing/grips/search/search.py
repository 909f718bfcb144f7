"""The cheapest choices of a network, exactly: the best one, or the k best different ones."""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from porchswing.grips.search.bounds import first_domains, hopeful_domains, least_costs
from porchswing.grips.search.network import (
    MAX_TABLE,
    Domains,
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
        few = first_domains(least, wanted)
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

    whole = {v: np.arange(network.sizes[v]) for v in decisions}
    put({**whole, **within}, 0)
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
