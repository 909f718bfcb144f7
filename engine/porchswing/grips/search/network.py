"""Choices that cost: variables with small domains, tables of costs, and their elimination.

A problem is a set of variables with small domains and tables of costs over one, two or
three of them. Variables are eliminated one by one, each time the one whose neighbours span
the smallest table (nonserial dynamic programming: U. Bertelè, F. Brioschi, 1972; on a chain
this is the Viterbi recursion). Sections that come back are the same variables, so ties,
repeats and loops are nothing special. Costs are whole numbers: the optimum is exact.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from porchswing.grips.search.table import Ints

MAX_TABLE = 20_000_000
"""Largest table of costs that is built at all."""

NARROW_COSTS = 2**31 - 1
"""Where no choice can cost more, tables hold whole numbers of half the width."""

Costs = npt.NDArray[np.signedinteger[Any]]
"""Tables of costs, whole numbers of either width."""

Domains = Mapping[int, Ints]
"""The options some variables still have, as rising indices; the others have all."""


def narrowed(costs: Costs) -> Costs:
    """Return costs in whole numbers of half the width, where all of them fit."""
    return costs.astype(np.int32 if costs.max(initial=0) <= NARROW_COSTS else np.int64, copy=False)


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Costs over ``variables``, one axis each, variables falling.

    A ``loose`` factor ties distant places together; bounds may stand in for it.
    """

    variables: tuple[int, ...]
    costs: Costs
    loose: bool = False


@dataclass(slots=True)
class Network:
    """Variables by number with their domain ``sizes``, and the ``factors`` over them.

    No choice costs more than ``most``.
    """

    sizes: list[int] = field(default_factory=list)
    factors: list[Factor] = field(default_factory=list)
    most: int = 0

    def copy(self) -> Network:
        """Return a network of the same variables and factors, to which others may be added."""
        return Network(list(self.sizes), list(self.factors), self.most)

    def variable(self, size: int) -> int:
        """Add a variable with so many options; return its number."""
        self.sizes.append(size)
        return len(self.sizes) - 1

    def add(
        self, variables: Sequence[int], costs: Costs, times: int = 1, *, loose: bool = False
    ) -> None:
        """Add ``times`` the costs over distinct variables, one axis each in the order given."""
        order = sorted(range(len(variables)), key=lambda axis: -variables[axis])
        named = tuple(variables[axis] for axis in order)
        most = times * int(costs.max(initial=0))
        costs = costs.astype(np.int32 if most <= NARROW_COSTS else np.int64, copy=False)
        if times != 1:
            costs = costs * times
        self.factors.append(Factor(named, costs.transpose(order), loose))
        self.most += most

    def cost(self, choice: Sequence[int]) -> int:
        """Return what one full choice costs."""
        return sum(
            int(factor.costs[tuple(choice[v] for v in factor.variables)]) for factor in self.factors
        )

    def size_of(self, v: int, domains: Domains) -> int:
        """Return how many options a variable still has."""
        return len(domains[v]) if v in domains else self.sizes[v]


@dataclass(frozen=True, slots=True)
class Order:
    """An order of elimination, and the number of costs in the ``largest`` table it builds."""

    variables: tuple[int, ...]
    largest: int


def elimination_order(network: Network, domains: Domains) -> Order:
    """Return an order of elimination: always the variable with the smallest table."""
    near: list[set[int]] = [set() for _ in network.sizes]
    for factor in network.factors:
        free = [v for v in factor.variables if not is_fixed(v, domains)]
        for v in free:
            near[v].update(free)
    for v, others in enumerate(near):
        others.discard(v)
    sizes = [network.size_of(v, domains) for v in range(len(network.sizes))]

    def table(v: int) -> int:
        total = sizes[v]
        for other in near[v]:
            total *= sizes[other]
        return total

    heap = [(table(v), v) for v in range(len(sizes))]
    heapq.heapify(heap)
    order: list[int] = []
    gone = [False] * len(sizes)
    largest = 0
    while heap:
        size, v = heapq.heappop(heap)
        if gone[v] or size != table(v):
            continue  # an older entry; the true one is in the heap as well
        largest = max(largest, size)
        gone[v] = True
        order.append(v)
        for other in near[v]:
            near[other] |= near[v]
            near[other] -= {v, other}
        for other in near[v]:
            heapq.heappush(heap, (table(other), other))
    return Order(tuple(order), largest)


@dataclass(frozen=True, slots=True, eq=False)
class Elimination:
    """One elimination: the costs over ``variable``, which comes first, and its ``scope``."""

    variable: int
    scope: tuple[int, ...]
    costs: Costs


def eliminate(
    network: Network, order: Sequence[int], domains: Domains, steps: list[Elimination] | None = None
) -> tuple[int, tuple[int, ...]] | None:
    """Return the least cost and a choice that has it; among equals, the first in order.

    ``None`` where a domain is empty. ``steps`` collects the tables on the way.
    """
    if any(len(domain) == 0 for domain in domains.values()):
        return None
    rank = {v: place for place, v in enumerate(order)}
    buckets: list[list[Factor]] = [[] for _ in network.sizes]
    total = 0
    kind = np.int32 if network.most <= NARROW_COSTS else np.int64
    for whole in network.factors:
        factor = _within(whole, domains, kind)
        if factor.variables:
            buckets[min(factor.variables, key=rank.__getitem__)].append(factor)
        else:
            total += int(factor.costs)
    for v in order:
        scope, costs = _joined(buckets[v], v, network.size_of(v, domains))
        if steps is not None:
            steps.append(Elimination(v, scope, costs))
        least = costs.min(axis=0)
        if scope:
            buckets[min(scope, key=rank.__getitem__)].append(Factor(scope, least))
        else:
            total += int(least)
    return total, _traced(order, buckets, domains)


def is_fixed(v: int, domains: Domains) -> bool:
    """Say whether a variable has but one option left, so that it ties nothing together."""
    return v in domains and len(domains[v]) == 1


def _within(factor: Factor, domains: Domains, kind: type[np.signedinteger[Any]]) -> Factor:
    """Return a factor cut down to the options its variables still have, fixed ones left out."""
    costs = factor.costs.astype(kind, copy=False)
    free: list[int] = []
    for v in factor.variables:
        axis = len(free)
        if is_fixed(v, domains):
            costs = costs.take(domains[v][0], axis=axis)
            continue
        if v in domains and len(domains[v]) < costs.shape[axis]:
            costs = costs.take(domains[v], axis=axis)
        free.append(v)
    return Factor(tuple(free), costs)


def _joined(factors: Sequence[Factor], v: int, size: int) -> tuple[tuple[int, ...], Costs]:
    """Add factors up into one table over ``v``, which comes first, and their other variables.

    These fall, as in every factor: the many grips come last, so that numpy's loops are long.
    """
    if not factors:
        return (), np.zeros(size, np.int64)
    others = {other for factor in factors for other in factor.variables} - {v}
    scope = tuple(sorted(others, reverse=True))
    axis_of = {other: axis for axis, other in enumerate((v, *scope))}
    tables = []
    for factor in sorted(factors, key=lambda factor: factor.costs.size):
        costs = factor.costs
        own = factor.variables.index(v)
        if own:
            rest = (axis for axis in range(costs.ndim) if axis != own)
            costs = costs.transpose(own, *rest)
        shape = [1] * len(axis_of)
        shape[0] = size
        for other, options in zip(factor.variables, factor.costs.shape, strict=True):
            shape[axis_of[other]] = options
        tables.append(costs.reshape(shape))
    return scope, _added(tables)


def _added(tables: Sequence[Costs]) -> Costs:
    """Return the sum of tables of one number of axes; large sums grow in place."""
    total, is_own = tables[0], False
    for costs in tables[1:]:
        if is_own and all(a >= b for a, b in zip(total.shape, costs.shape, strict=True)):
            total += costs
        else:
            total, is_own = total + costs, True
    return total


def _traced(
    order: Sequence[int], buckets: Sequence[Sequence[Factor]], domains: Domains
) -> tuple[int, ...]:
    """Read the choice back from the last variable eliminated to the first.

    What each option costs beside those already read is added up from the factors once more.
    """
    local: dict[int, int] = {}
    for v in reversed(order):
        costs = sum(
            factor.costs[tuple(local.get(other, slice(None)) for other in factor.variables)]
            for factor in buckets[v]
        )
        local[v] = int(np.argmin(costs)) if buckets[v] else 0
    return tuple(int(domains[v][local[v]]) if v in domains else local[v] for v in range(len(order)))
