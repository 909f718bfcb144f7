"""The cheapest choices of a network, exactly: the best one, or the k best different ones."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np

from porchswing.grips.bounds import first_domains, hopeful_domains, least_costs
from porchswing.grips.cost import Ints
from porchswing.grips.network import (
    Domains,
    Network,
    Order,
    eliminate,
    elimination_order,
    fitting_order,
)

EASY_TABLE = 300_000
"""Largest table of costs that is built without a second thought; beyond it, bounds help."""

Choice = tuple[int, tuple[int, ...]]
"""A cost and a full choice that has it."""


def best_choices(network: Network, decisions: Sequence[int], count: int) -> tuple[Choice, ...]:
    """Return the ``count`` cheapest choices that differ in some of the ``decisions``, in order.

    Fewer are returned where there are no more; among equals, the first in order.

    Raises
    ------
    GripError
        Where the form is too tangled for an exact answer.
    """
    order = elimination_order(network, {})
    if order.largest <= EASY_TABLE:
        return _ranked(network, decisions, count, order, {})
    least = least_costs(network)
    few = first_domains(network, least, count)
    found = _ranked(network, decisions, count, fitting_order(network, few), few)
    if len(found) < count:  # no bound on the last of them
        return _ranked(network, decisions, count, fitting_order(network, {}), {})
    kept = hopeful_domains(least, found[-1][0])
    return _ranked(network, decisions, count, fitting_order(network, kept), kept)


def _ranked(
    network: Network, decisions: Sequence[int], count: int, order: Order, within: Domains
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
    while queue:
        cost, choice, free_from, domains = heapq.heappop(queue)
        found.append((cost, choice))
        if len(found) == count:
            break
        for place in range(free_from, len(decisions)):
            v = decisions[place]
            part = dict(domains)
            for earlier in decisions[free_from:place]:
                part[earlier] = np.array([choice[earlier]])
            part[v] = domains[v][domains[v] != choice[v]]
            put(part, place)
    return tuple(found)
