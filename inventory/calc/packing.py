"""Packing sizes into rooms, in whole numbers: a good filling found quickly, and the exact one.

The cutting plans are stated in these terms: `sizes` are parts with the kerf behind them, `rooms`
are usable lengths with one kerf more, since the last part needs no cut behind it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import gcd

Counts = tuple[int, ...]
"""How many of each size lie in one room."""

_MOST_WAYS = 5_000
_MOST_SUMS = 2_000_000


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
    step = gcd(*task.prices)
    if not step or sum(task.prices) // step > _MOST_SUMS:
        return bound
    sums = 1
    for price in task.prices:
        sums |= sums << price // step
    above = sums >> -(-bound // step)
    if not above:
        return bound
    return (-(-bound // step) + (above & -above).bit_length() - 1) * step


def filled(task: Packing) -> dict[int, Counts]:
    """Return the best of three quick fillings: shortest, longest or least wasteful room first."""
    fillings = [_fill(task, choice) for choice in _CHOICES]
    return min(fillings, key=lambda rooms: badness(task, rooms))


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


_Choice = Callable[[int, int], tuple[int, int]]
"""Ranks a room by its size and by what a filling leaves of it; the lowest is filled next."""

_CHOICES: tuple[_Choice, ...] = (
    lambda room, waste: (-room, waste),
    lambda room, waste: (room, waste),
    lambda room, waste: (waste, -room),
)


def _fill(task: Packing, choice: _Choice) -> dict[int, Counts]:
    left, free = list(task.demand), list(range(len(task.rooms)))
    done: dict[int, Counts] = {}
    while any(left) and free:
        room, counts = _next_room(task, left, free, choice)
        if not any(counts):
            break
        done[room] = counts
        free.remove(room)
        left = [have - taken for have, taken in zip(left, counts, strict=True)]
    return done


def _next_room(
    task: Packing, left: list[int], free: list[int], choice: _Choice
) -> tuple[int, Counts]:
    need = task.used(left)
    enough = [room for room in free if task.rooms[room] >= need]
    if enough:
        return min(enough, key=lambda room: (task.prices[room], room)), tuple(left)
    alike = {task.rooms[room]: room for room in reversed(free)}
    trials = [(room, _fullest(task, left, size)) for size, room in alike.items()]
    useful = [trial for trial in trials if any(trial[1])] or trials
    return min(
        useful,
        key=lambda trial: choice(task.rooms[trial[0]], task.rooms[trial[0]] - task.used(trial[1])),
    )


def _fullest(task: Packing, left: Sequence[int], room: int) -> Counts:
    """Return the biggest size that fits and with it what fills `room` most exactly.

    The sums that can be reached are the bits of one whole number, kept from size to size.
    """
    counts = [0] * len(task.sizes)
    first = next((k for k, size in enumerate(task.sizes) if left[k] and size <= room), None)
    if first is None:
        return tuple(counts)
    counts[first] = 1
    rest = room - task.sizes[first]
    mask, reached, history = (1 << rest + 1) - 1, 1, []
    for kind in range(len(task.sizes) - 1, -1, -1):
        for _ in range(left[kind] - counts[kind]):
            if task.sizes[kind] > rest:
                break
            history.append((kind, reached))
            reached |= (reached << task.sizes[kind]) & mask
    total = reached.bit_length() - 1
    for kind, before in reversed(history):
        if not before >> total & 1:
            counts[kind] += 1
            total -= task.sizes[kind]
    return tuple(counts)
