"""A good layout of strips and blanks found quickly, board after board."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from inventory.cutting.calc.packing import Packing, rooms_that_cost
from inventory.cutting.calc.strips import (
    Layout,
    Strip,
    StripTask,
    fillable_area,
    layout_badness,
    missing_from_layout,
    needed_area,
    taken_from,
)

_SLACKS = (0, 5, 10, 20, 30, 45, 60, 80, 100, 130, 160, 200)
"""Thousandths over the area that is needed at which a set of boards is tried, tightest first."""

_STEPS = 20_000

_Choice = Callable[[int, int], tuple[float, int]]
"""Ranks a board by its area and by what a filling wastes of it; the lowest is filled next."""

_CHOICES: tuple[_Choice, ...] = (
    lambda area, waste: (-area, waste),
    lambda area, waste: (area, waste),
    lambda area, waste: (waste / area, -area),
)


def laid_out(task: StripTask) -> Layout:
    """Return the best of several quick layouts: on large, on small, on well-filled boards first.

    Then on ever more boards than are needed at least, as long as that is cheaper. Turned shapes
    are tried both at once and not at all.
    """
    tasks = [task]
    if any(shape.turned for shape in task.shapes):
        tasks.append(_without_turned(task))
    layouts = [layout for one in tasks for layout in _layouts(one)]
    return min(layouts, key=lambda layout: layout_badness(task, layout))


def laid_out_once(task: StripTask) -> Layout:
    """Return the first of those layouts: large boards first, at once even with many blanks."""
    return _lay_out(task, range(len(task.boards)), _CHOICES[0])


def _layouts(task: StripTask) -> Iterator[Layout]:
    everywhere = range(len(task.boards))
    best = _best_on(task, everywhere)
    yield best
    for boards in _tight_sets(task):
        price = sum(task.boards[board][2] for board in boards)
        if layout_badness(task, best)[:2] <= (0, price):
            return
        tight = _best_on(task, boards)
        if not any(missing_from_layout(task, tight)):
            yield tight
            return


def _tight_sets(task: StripTask) -> Iterator[list[int]]:
    """Yield sets of boards that can hold ever more than the area of all blanks."""
    areas = [fillable_area(task, board) for board in range(len(task.boards))]
    step = sum(areas) // _STEPS + 1
    steps = tuple(area // step for area in areas)
    rooms = Packing(sizes=(), demand=(), rooms=steps, prices=steps)
    needed = needed_area(task) // step + 1
    for slack in _SLACKS:
        goal = needed + needed * slack // 1000
        near = (rooms_that_cost(rooms, price) for price in range(goal, goal + 5))
        yield next((boards for boards in near if boards), [])


def _without_turned(task: StripTask) -> StripTask:
    """Return the task with turned shapes made too long for any board, so that none is used."""
    too_long = 1 + max((length for length, _, _ in task.boards), default=0)
    shapes = tuple(
        shape._replace(length=too_long) if shape.turned else shape for shape in task.shapes
    )
    return replace(task, shapes=shapes)


def _best_on(task: StripTask, boards: Sequence[int]) -> Layout:
    layouts = [_lay_out(task, boards, choice) for choice in _CHOICES]
    return min(layouts, key=lambda layout: layout_badness(task, layout))


def _lay_out(task: StripTask, boards: Sequence[int], choice: _Choice) -> Layout:
    left, free = list(task.demand), list(boards)
    layout: Layout = {}
    while any(left) and free:
        board, strips = _next_board(task, left, free, choice)
        if not strips:
            break
        layout[board] = strips
        free.remove(board)
        left = taken_from(task, left, strips)
    return layout


def _next_board(
    task: StripTask, left: Sequence[int], free: Sequence[int], choice: _Choice
) -> tuple[int, tuple[Strip, ...]]:
    alike = {task.boards[board]: board for board in reversed(free)}
    trials = [(board, _strips_on(task, left, board)) for board in alike.values()]
    enough = [trial for trial in trials if not any(taken_from(task, left, trial[1]))]
    if enough:
        return min(enough, key=lambda trial: task.boards[trial[0]][2])
    useful = [trial for trial in trials if trial[1]] or trials
    return min(useful, key=lambda trial: choice(*_area_and_waste(task, *trial)))


def _area_and_waste(task: StripTask, board: int, strips: Sequence[Strip]) -> tuple[int, int]:
    length, width, _ = task.boards[board]
    covered = sum(
        shape.length * shape.width * count
        for strip in strips
        for shape, count in zip(task.shapes, strip.counts, strict=True)
    )
    return length * width, length * width - covered


def _strips_on(task: StripTask, left: Sequence[int], board: int) -> tuple[Strip, ...]:
    """Fill one board with the widths that cover most of it, the widest first."""
    length, width, _ = task.boards[board]
    rest = list(left)
    strips: list[Strip] = []
    for one in sorted(_best_widths(task, left, length, width), reverse=True):
        strip = _fill_strip(task, rest, length, one)
        if any(strip.counts):
            strips.append(strip)
            rest = taken_from(task, rest, [strip])
    return tuple(strips)


def _best_widths(task: StripTask, left: Sequence[int], length: int, width: int) -> list[int]:
    """Return the widths of strips that together cover most area within the board's width."""
    best: dict[int, tuple[int, list[int]]] = {0: (0, [])}
    for one in sorted({shape.width for shape in task.shapes if shape.width <= width}):
        worth = list(_worth(task, left, length, one, width // one))
        for used, (value, widths) in list(best.items()):
            for count, more in enumerate(worth, start=1):
                total = used + count * one
                if total <= width and value + more > best.get(total, (-1, []))[0]:
                    best[total] = (value + more, [*widths, *[one] * count])
    return max(best.values(), key=lambda state: state[0])[1]


def _worth(
    task: StripTask, left: Sequence[int], length: int, width: int, most: int
) -> Iterator[int]:
    """Yield the area that one, two, ... strips of exactly `width` cover."""
    rest, covered = list(left), 0
    for _ in range(most):
        counts = _fill_exactly(task, rest, length, width)
        used = task.used(Strip(width, counts))
        if not used:
            return
        covered += used * width
        yield covered
        rest = taken_from(task, rest, [Strip(width, counts)])


def _fill_strip(task: StripTask, left: Sequence[int], length: int, width: int) -> Strip:
    """Fill a strip with blanks of its width, and what is left of it with narrower ones."""
    counts = list(_fill_exactly(task, left, length, width))
    rest = length - task.used(Strip(width, tuple(counts)))
    spare = taken_from(task, left, [Strip(width, tuple(counts))])
    for index, shape in enumerate(task.shapes):
        if shape.width < width and any(counts):
            count = min(spare[shape.kind], rest // shape.length)
            counts[index] += count
            spare[shape.kind] -= count
            rest -= count * shape.length
    return Strip(width, tuple(counts))


def _fill_exactly(task: StripTask, left: Sequence[int], length: int, width: int) -> tuple[int, ...]:
    """Return blanks of exactly `width` that fill `length` as well as can be, a longest among them.

    The sums that can be reached are the bits of one whole number, kept from blank to blank.
    """
    counts = [0] * len(task.shapes)
    fitting = [
        (index, shape)
        for index, shape in enumerate(task.shapes)
        if shape.width == width and shape.length <= length and left[shape.kind]
    ]
    if not fitting:
        return tuple(counts)
    first, lead = max(fitting, key=lambda one: one[1].length)
    counts[first] = 1
    rest = length - lead.length
    mask, reached, history = (1 << rest + 1) - 1, 1, []
    for index, shape in sorted(fitting, key=lambda one: one[1].length):
        for _ in range(min(left[shape.kind] - counts[index], rest // shape.length)):
            history.append((index, reached))
            reached |= (reached << shape.length) & mask
    total = reached.bit_length() - 1
    for index, before in reversed(history):
        if not before >> total & 1:
            counts[index] += 1
            total -= task.shapes[index].length
    return tuple(counts)
