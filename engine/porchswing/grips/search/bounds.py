"""Options that cannot be part of any of the best choices, found by bounds and left out.

Where every grip of a chart has hundreds of rivals, the exact search would build huge tables.
So the loose ties are first replaced by what they cost at least; in the simpler problem that
is left, the least cost of every single option is known exactly, and no choice of the whole
problem with that option can cost less. Options that cost more than a choice already found
are out, and nothing is lost.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from porchswing.grips.search.network import (
    Domains,
    Elimination,
    Network,
    eliminate,
    elimination_order,
)
from porchswing.grips.search.table import Ints


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


def first_domains(least: Sequence[Ints], wanted: int) -> Domains:
    """Return the most hopeful options of every variable, at most so many."""
    return {
        v: np.sort(np.argsort(costs, kind="stable")[:wanted])
        for v, costs in enumerate(least)
        if len(costs) > wanted
    }


def hopeful_domains(least: Sequence[Ints], bound: int) -> Domains:
    """Return the options that a choice of cost ``bound`` or less may still hold."""
    return {v: np.flatnonzero(costs <= bound) for v, costs in enumerate(least)}
