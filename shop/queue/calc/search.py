"""Suggest an order: a local search over orders, each tried by the dispatcher.

All neighbours of an order are laid out at once, as the draws of one run. The best is taken; where
none is better, a few places are shuffled and the search goes on from there. It draws from one
seed, so that the same books suggest the same order.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shop.queue.calc.dispatch import Chances, Layout, dispatch
from shop.queue.calc.network import Network
from shop.queue.calc.open_time import OpenTime

Whole = NDArray[np.integer[Any]]
Floats = NDArray[np.floating[Any]]

NEVER_DUE = 1e6
SEED, WIDTH = 1, 64
A_DAY_SOONER = 0.01
"""What it is worth to be ready a day sooner where nothing is late."""

A_MISSED_WINDOW = 5.0
"""What a coat that could not go on in time counts, in days of lateness."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What an order is judged by: days late, times a weight, of each build.

    due: the promised day of each build, infinite where none is. Beside it a hundredth of a day for
    each day until a build is ready, and five days for each window that is missed.
    """

    due: Floats
    weight: Floats

    def cost(self, ready: Floats, missed: Whole) -> Floats:
        """Return the cost of each layout (orders)."""
        late = np.maximum(ready - self.due, 0) * self.weight
        return np.asarray(
            late.sum(axis=1) + A_DAY_SOONER * ready.sum(axis=1) + A_MISSED_WINDOW * missed
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best order found, as places of the builds in their list, and what it costs."""

    order: tuple[int, ...]
    cost: float
    tried: int


def search_order(
    network: Network,
    time: OpenTime,
    aim: Aim,
    *,
    first: Sequence[int],
    rounds: int = 30,
) -> Found:
    """Return the best of `rounds` times `WIDTH` orders; never a worse one than `first`."""
    jobs = len(first)
    rng = np.random.default_rng(SEED)
    by_due = np.argsort(np.minimum(aim.due, NEVER_DUE), kind="stable")
    start = np.array([list(first), [int(one) for one in by_due]])
    costs = _costs(network, time, aim, start)
    best = here = start[costs.argmin()]
    best_cost = here_cost = float(costs.min())
    tried = len(start)
    if jobs < 2:
        return Found(order=tuple(first), cost=best_cost, tried=tried)
    for _ in range(rounds):
        orders = _neighbours(here, rng)
        costs = _costs(network, time, aim, orders)
        tried += len(orders)
        if costs.min() < here_cost - 1e-9:
            here, here_cost = orders[costs.argmin()], float(costs.min())
        else:
            here = _shuffled(best, rng)
            here_cost = float(_costs(network, time, aim, here[None])[0])
        if here_cost < best_cost - 1e-9:
            best, best_cost = here, here_cost
    return Found(order=tuple(int(one) for one in best), cost=best_cost, tried=tried)


def rank_of(order: Whole, network: Network) -> Floats:
    """Return the rank of each track in each order (orders, tracks): the lower, the sooner."""
    place = np.argsort(order, axis=-1)
    ranks = place[..., network.track_job] * 1000 + network.place[network.heads] % 1000
    return np.asarray(ranks, dtype=float)


def lay_out(network: Network, time: OpenTime, orders: Whole) -> Layout:
    """Lay out every order by the stages' own figures."""
    chances = Chances(
        minutes=network.minutes[None],
        waits=network.waits[None],
        not_before=network.not_before[None],
    )
    return dispatch(network, time, chances, rank_of(orders, network))


def _costs(network: Network, time: OpenTime, aim: Aim, orders: Whole) -> Floats:
    layout = lay_out(network, time, orders)
    return aim.cost(layout.ready(network, orders.shape[1]), layout.missed)


def _neighbours(order: Whole, rng: np.random.Generator) -> Whole:
    """Return `WIDTH` orders in which one build is moved, or two are exchanged."""
    jobs = len(order)
    found = []
    for take, put in rng.integers(0, jobs, (WIDTH, 2)):
        if take % 2 and take != put:
            other = order.copy()
            other[[take, put]] = order[[put, take]]
        else:
            other = np.insert(np.delete(order, take), put, order[take])
        found.append(other)
    return np.array(found)


def _shuffled(order: Whole, rng: np.random.Generator) -> Whole:
    other = order.copy()
    for take, put in rng.integers(0, len(order), (2, 2)):
        other[[take, put]] = other[[put, take]]
    return other
