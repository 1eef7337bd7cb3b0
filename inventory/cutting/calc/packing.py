"""Packing sizes into rooms, in whole numbers: the task, its price, bounds and patterns.

The cutting plans are stated in these terms: `sizes` are parts with the kerf behind them, `rooms`
are usable lengths with one kerf more, since the last part needs no cut behind it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, islice
from math import gcd

Counts = tuple[int, ...]
"""How many of each size lie in one room."""

_MOST_WAYS = 5_000
_MOST_SUMS = 500_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """The task: `demand` of each size, and rooms that each cost `prices` when they are opened."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    rooms: tuple[int, ...]
    prices: tuple[int, ...]

    def used(self, counts: Sequence[int]) -> int:
        """Return the room that `counts` of each size take."""
        return sum(size * count for size, count in zip(self.sizes, counts, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """An answer: what lies in each opened room, and a bound under every possible price."""

    rooms: dict[int, Counts]
    missing: Counts
    bound: int
    proven: bool


def price_of(task: Packing, rooms: dict[int, Counts]) -> int:
    """Return what the opened rooms cost together."""
    return sum(task.prices[room] for room in rooms)


def missing_from(task: Packing, rooms: dict[int, Counts]) -> Counts:
    """Return how many of each size no room holds."""
    packed = [sum(counts[kind] for counts in rooms.values()) for kind in range(len(task.sizes))]
    return tuple(want - have for want, have in zip(task.demand, packed, strict=True))


def badness(task: Packing, rooms: dict[int, Counts]) -> tuple[int, int]:
    """Rank a packing: what is missing first, then the price of its rooms; less is better."""
    return task.used(missing_from(task, rooms)), price_of(task, rooms)


def least_price(task: Packing) -> int:
    """Return a price that no packing gets under, from the room that all sizes need together."""
    cheapest = min(zip(task.prices, task.rooms, strict=True), key=lambda one: one[0] / one[1])
    return next_price(task, -(-task.used(task.demand) * cheapest[0] // cheapest[1]))


def next_price(task: Packing, bound: int) -> int:
    """Return the least sum of prices, each room taken at most once, that is not under `bound`.

    Raises a bound to a price that can be reached: 18 boards of 2400 rather than 42310 mm.
    """
    step, sums = _reachable(task)
    from_bound = sums[-1] >> -(-bound // step) if sums else 0
    if not from_bound:
        return bound
    return (-(-bound // step) + (from_bound & -from_bound).bit_length() - 1) * step


def rooms_that_cost(task: Packing, price: int) -> list[int]:
    """Return rooms whose prices add up to exactly `price`; none when no rooms do."""
    step, sums = _reachable(task)
    rest, rooms = price // step, []
    if not sums or price % step or not sums[-1] >> rest & 1:
        return []
    for room in range(len(task.prices) - 1, -1, -1):
        if not sums[room] >> rest & 1:
            rooms.append(room)
            rest -= task.prices[room] // step
    return rooms


def _reachable(task: Packing) -> tuple[int, list[int]]:
    """Return a step of price and, as bits, the sums of steps that the first n rooms can make.

    The list is empty when prices are too fine for it.
    """
    step = gcd(*task.prices) or 1
    if sum(task.prices) // step > _MOST_SUMS:
        return step, []
    return step, list(
        accumulate(task.prices, lambda sums, price: sums | sums << price // step, initial=1)
    )


def maximal_patterns(task: Packing, room: int) -> list[Counts] | None:
    """Return every way to fill `room` to which no size can be added; None when there are many."""
    ways = islice(_ways(task, room, 0, room + 1), _MOST_WAYS + 1)
    found = list(ways)
    return None if len(found) > _MOST_WAYS else [counts for counts in found if counts is not None]


def _ways(task: Packing, left: int, kind: int, ceiling: int) -> Iterator[Counts | None]:
    """Yield fillings from size `kind` on; None for one that leaves `ceiling` or more unused."""
    if kind == len(task.sizes):
        yield () if left < ceiling else None
        return
    size = task.sizes[kind]
    most = min(task.demand[kind], left // size)
    for count in range(most, -1, -1):
        lowest = ceiling if count == task.demand[kind] else min(ceiling, size)
        for rest in _ways(task, left - count * size, kind + 1, lowest):
            yield None if rest is None else (count, *rest)
