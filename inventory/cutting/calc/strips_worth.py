"""How much one board can hold when every blank has a worth: a knapsack along it and one across it.

What repeats a blank more often than it is wanted is allowed where a bound is asked for, and mended
where a layout is. Importing this module loads NumPy.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any, NamedTuple

import numpy as np

from inventory.cutting.calc.strips import Board, Strip, StripTask, taken_from


class Filling(NamedTuple):
    """Strips that fill a board, and their worth, which no other filling of it is over.

    Each strip holds no more of a kind than is wanted, all strips together may.
    """

    worth: int
    strips: tuple[Strip, ...]


class _Mark(NamedTuple):
    """A knapsack as it stood after some offers: how many, and the most worth for every room."""

    offers: int
    most: Any


class _Knapsack:
    """Things of a size and a worth, each offered once; says what is worth most in any room."""

    def __init__(self, room: int) -> None:
        self.most = np.zeros(room + 1, dtype=np.int64)
        self._offers: list[tuple[int, int, Any]] = []

    def offer(self, thing: int, size: int, worth: int, times: int = 1) -> None:
        """Offer a thing, up to `times` over; what is never worth taking is forgotten."""
        for _ in range(min(times, (len(self.most) - 1) // size)):
            taken = self.most[:-size] + worth
            is_better = taken > self.most[size:]
            if not is_better.any():
                return
            self.most = np.concatenate([self.most[:size], np.maximum(taken, self.most[size:])])
            self._offers.append((thing, size, is_better))

    def mark(self) -> _Mark:
        """Return how it stands now, to come back to after further offers."""
        return _Mark(len(self._offers), self.most)

    def things(self, room: int, offers: int | None = None) -> Iterable[int]:
        """Yield what is worth most in `room`, of the first so many offers."""
        for thing, size, is_better in reversed(self._offers[:offers]):
            if room >= size and is_better[room - size]:
                room -= size
                yield thing


def steps_needed(task: StripTask) -> int:
    """Return about how many steps it takes to fill one board of each size once."""
    longest = max((length for length, _, _ in task.boards), default=0)
    blanks = sum(min(task.demand[one.kind], longest // one.length) for one in task.shapes)
    across = sum(width for _, width, _ in set(task.boards))
    return 1 + blanks * longest + len({shape.width for shape in task.shapes}) * across


def best_fillings(
    task: StripTask, worths: Sequence[int], left: Sequence[int], boards: Iterable[Board]
) -> dict[Board, Filling]:
    """Return the filling of each size of board that is worth most, for blanks that are `left`.

    One knapsack along the longest board serves all widths and all boards: shapes are offered from
    the narrowest on, and a strip takes what was offered up to its own width.
    """
    boards = list(boards)
    along = _Knapsack(max((length for length, _, _ in boards), default=0))
    marks: dict[int, _Mark] = {}
    for width, shapes in groupby(_by_width(task), key=lambda index: task.shapes[index].width):
        for index in shapes:
            shape = task.shapes[index]
            along.offer(index, shape.length, worths[shape.kind], left[shape.kind])
        marks[width] = along.mark()
    return {board: _filling(task, board, along, marks) for board in boards}


def _filling(task: StripTask, board: Board, along: _Knapsack, marks: dict[int, _Mark]) -> Filling:
    length, room, _ = board
    across = _Knapsack(room)
    for width, mark in marks.items():
        across.offer(width, width, int(mark.most[length]), room // width)
    strips = [
        _strip(task, along.things(length, marks[width].offers)) for width in across.things(room)
    ]
    return Filling(int(across.most[room]), tuple(strips))


def without_repeats(
    task: StripTask, worths: Sequence[int], left: Sequence[int], board: Board, filling: Filling
) -> tuple[Strip, ...]:
    """Return strips about as wide as in `filling`, with no more of any kind than is `left`.

    What is left of the width is filled with further strips.
    """
    length, room, _ = board
    widths = sorted((strip.width for strip in filling.strips), reverse=True)
    strips: list[Strip] = []
    rest = list(left)
    while room and any(rest):
        strip = _best_strip(task, worths, rest, length, widths.pop(0) if widths else room)
        if strip is not None:
            strips.append(strip)
            room -= strip.width
            rest = taken_from(task, rest, [strip])
        elif not widths:
            break
    return tuple(strips)


def _best_strip(
    task: StripTask, worths: Sequence[int], left: Sequence[int], length: int, width: int
) -> Strip | None:
    along = _Knapsack(length)
    for index, shape in enumerate(task.shapes):
        if shape.width <= width:
            along.offer(index, shape.length, worths[shape.kind], left[shape.kind])
    rest, taken = list(left), []
    for index in along.things(length):
        if rest[task.shapes[index].kind]:
            rest[task.shapes[index].kind] -= 1
            taken.append(index)
    return _strip(task, taken) if taken else None


def _strip(task: StripTask, taken: Iterable[int]) -> Strip:
    counts = [0] * len(task.shapes)
    for index in taken:
        counts[index] += 1
    width = max(shape.width for shape, count in zip(task.shapes, counts, strict=True) if count)
    return Strip(width, tuple(counts))


def _by_width(task: StripTask) -> list[int]:
    return sorted(range(len(task.shapes)), key=lambda index: task.shapes[index].width)
