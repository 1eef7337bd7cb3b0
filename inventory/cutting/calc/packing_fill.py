"""A good packing found quickly, by filling one room after the other as exactly as can be."""

from collections.abc import Callable, Sequence

from inventory.cutting.calc.packing import (
    Counts,
    Packing,
    badness,
    least_price,
    missing_from,
    next_price,
    rooms_that_cost,
)

_SLACKS = (0, 1, 2, 4, 6, 8, 12, 16, 20, 25, 30, 40)
"""Thousandths over the least price at which a set of rooms is tried, the tightest first."""

_Choice = Callable[[int, int], tuple[int, int]]
"""Ranks a room by its size and by what a filling leaves of it; the lowest is filled next."""

_CHOICES: tuple[_Choice, ...] = (
    lambda room, waste: (-room, waste),
    lambda room, waste: (room, waste),
    lambda room, waste: (waste, -room),
)


def filled(task: Packing) -> dict[int, Counts]:
    """Return the best of several quick packings: longest, shortest or fullest room first.

    Then with ever more rooms than are needed at least, as long as that is cheaper.
    """
    everywhere = range(len(task.rooms))
    best = _best_of(task, everywhere)
    for slack in _SLACKS if task.rooms else ():
        least = least_price(task)
        goal = next_price(task, least + least * slack // 1000)
        if badness(task, best) <= (0, goal):
            return best
        tight = _best_of(task, rooms_that_cost(task, goal))
        if not any(missing_from(task, tight)):
            return tight
    return best


def _best_of(task: Packing, rooms: Sequence[int]) -> dict[int, Counts]:
    fillings = [_fill(task, rooms, choice) for choice in _CHOICES]
    return min(fillings, key=lambda filling: badness(task, filling))


def _fill(task: Packing, rooms: Sequence[int], choice: _Choice) -> dict[int, Counts]:
    left, free = list(task.demand), list(rooms)
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
