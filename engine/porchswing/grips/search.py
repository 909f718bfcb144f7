"""The cheapest choice of one option per variable, exactly, by dynamic programming.

A problem is a set of variables with small domains and tables of costs over one, two or
three of them. Variables are eliminated one by one, each time the one whose neighbours span
the smallest table (nonserial dynamic programming: U. Bertelè, F. Brioschi, 1972; on a chain
this is the Viterbi recursion). Sections that come back are the same variables, so ties,
repeats and loops are nothing special. Costs are whole numbers: the optimum is exact.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from porchswing.errors import GripError
from porchswing.grips.cost import Ints

MAX_TABLE = 20_000_000
"""Largest table of costs one elimination may build; a form more tangled is refused."""


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Costs over ``variables``, one axis each, variables rising."""

    variables: tuple[int, ...]
    costs: Ints


@dataclass(slots=True)
class Network:
    """Variables by number with their domain ``sizes``, and the ``factors`` over them."""

    sizes: list[int] = field(default_factory=list)
    factors: list[Factor] = field(default_factory=list)

    def variable(self, size: int) -> int:
        """Add a variable with so many options; return its number."""
        self.sizes.append(size)
        return len(self.sizes) - 1

    def add(self, variables: Sequence[int], costs: Ints) -> None:
        """Add costs over distinct variables, one axis each in the order given."""
        order = sorted(range(len(variables)), key=lambda axis: variables[axis])
        named = tuple(variables[axis] for axis in order)
        self.factors.append(Factor(named, np.transpose(costs, order)))

    def cost(self, choice: Sequence[int]) -> int:
        """Return what one full choice costs."""
        return sum(
            int(factor.costs[tuple(choice[v] for v in factor.variables)]) for factor in self.factors
        )


def best_choice(network: Network) -> tuple[int, tuple[int, ...]]:
    """Return the least cost and a choice that has it; among equals, the first in order.

    Raises
    ------
    GripError
        Where the form is too tangled for an exact answer.
    """
    solution = _solve(network, _order(network), {})
    assert solution is not None  # every domain holds at least one option
    return solution


def best_choices(
    network: Network, decisions: Sequence[int], count: int
) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """Return the ``count`` cheapest choices that differ in some of the ``decisions``, in order.

    Each answer splits what remains into parts that cannot hold it again, and each part is
    solved exactly (E. Lawler, Management Science 18(7), 1972; K. Murty, 1968). Fewer are
    returned where there are no more.
    """
    order = _order(network)
    whole = {v: np.arange(network.sizes[v]) for v in decisions}
    queue: list[tuple[int, tuple[int, ...], int, dict[int, Ints]]] = []
    _queue_part(queue, network, order, whole, 0)
    found: list[tuple[int, tuple[int, ...]]] = []
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
            _queue_part(queue, network, order, part, place)
    return tuple(found)


def _queue_part(
    queue: list[tuple[int, tuple[int, ...], int, dict[int, Ints]]],
    network: Network,
    order: Sequence[int],
    domains: dict[int, Ints],
    free_from: int,
) -> None:
    """Solve one part of the choices and queue its best, if it holds any."""
    solution = _solve(network, order, domains)
    if solution is not None:
        # parts are disjoint, so no two entries share a choice of decisions and none compares on
        heapq.heappush(queue, (*solution, free_from, domains))


def _order(network: Network) -> tuple[int, ...]:
    """Return an order of elimination: always the variable with the smallest table."""
    near: list[set[int]] = [set() for _ in network.sizes]
    for factor in network.factors:
        for v in factor.variables:
            near[v].update(factor.variables)
    for v, others in enumerate(near):
        others.discard(v)
    sizes = network.sizes

    def table(v: int) -> int:
        total = sizes[v]
        for other in near[v]:
            total *= sizes[other]
        return total

    heap = [(table(v), v) for v in range(len(sizes))]
    heapq.heapify(heap)
    order: list[int] = []
    gone = [False] * len(sizes)
    while heap:
        size, v = heapq.heappop(heap)
        if gone[v] or size != table(v):
            continue  # an older entry; the true one is in the heap as well
        if size > MAX_TABLE:
            raise GripError(
                "this form is too tangled to weigh every grip against every other; "
                "lock a grip, or narrow the frets of a section"
            )
        gone[v] = True
        order.append(v)
        for other in near[v]:
            near[other] |= near[v]
            near[other] -= {v, other}
        for other in near[v]:
            heapq.heappush(heap, (table(other), other))
    return tuple(order)


def _solve(
    network: Network, order: Sequence[int], domains: Mapping[int, Ints]
) -> tuple[int, tuple[int, ...]] | None:
    """Eliminate in order within the domains; ``None`` where a domain is empty."""
    if any(len(domain) == 0 for domain in domains.values()):
        return None
    buckets: list[list[Factor]] = [[] for _ in network.sizes]
    rank = {v: place for place, v in enumerate(order)}
    for factor in network.factors:
        first = min(factor.variables, key=rank.__getitem__)
        buckets[first].append(_within(factor, domains))
    steps: list[tuple[int, tuple[int, ...], Ints]] = []
    total = 0
    for v in order:
        scope, costs = _joined(buckets[v], v)
        if costs is None:
            steps.append((v, (), np.zeros((), np.int64)))
            continue
        steps.append((v, scope, costs.argmin(axis=-1)))
        least = costs.min(axis=-1)
        if scope:
            buckets[min(scope, key=rank.__getitem__)].append(Factor(scope, least))
        else:
            total += int(least)
    return total, _traced(steps, network, domains)


def _within(factor: Factor, domains: Mapping[int, Ints]) -> Factor:
    """Return a factor cut down to the options its variables still have."""
    costs = factor.costs
    for axis, v in enumerate(factor.variables):
        if v in domains and len(domains[v]) < costs.shape[axis]:
            costs = costs.take(domains[v], axis=axis)
    return Factor(factor.variables, costs)


def _joined(factors: Sequence[Factor], v: int) -> tuple[tuple[int, ...], Ints | None]:
    """Add factors up into one table over their other variables, rising, with ``v`` last."""
    scope = tuple(sorted({other for factor in factors for other in factor.variables} - {v}))
    axis_of = {other: axis for axis, other in enumerate((*scope, v))}
    total: Ints | None = None
    for factor in factors:
        shape = [1] * len(axis_of)
        for other, size in zip(factor.variables, factor.costs.shape, strict=True):
            shape[axis_of[other]] = size
        costs = factor.costs
        if factor.variables[-1] != v:
            own = factor.variables.index(v)
            rest = [axis for axis in range(costs.ndim) if axis != own]
            costs = costs.transpose(*rest, own)
        costs = costs.reshape(shape)
        total = costs if total is None else total + costs
    return scope, total


def _traced(
    steps: Sequence[tuple[int, tuple[int, ...], Ints]],
    network: Network,
    domains: Mapping[int, Ints],
) -> tuple[int, ...]:
    """Read the choice back from the last variable eliminated to the first."""
    local: dict[int, int] = {}
    for v, scope, argmin in reversed(steps):
        local[v] = int(argmin[tuple(local[other] for other in scope)])
    choice = [0] * len(network.sizes)
    for v, index in local.items():
        choice[v] = int(domains[v][index]) if v in domains else index
    return tuple(choice)


def every_choice(network: Network) -> Iterator[tuple[int, ...]]:
    """Yield every full choice, for proving small problems by exhaustion."""
    yield from np.ndindex(*network.sizes)
