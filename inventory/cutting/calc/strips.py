"""Boards ripped to strips and strips cut to blanks, in whole numbers: the task and its bounds.

Sizes are blanks with the kerf behind and beside them; boards have one kerf more each way.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from inventory.cutting.calc.packing import Packing, least_price, next_price


class Shape(NamedTuple):
    """A blank as it may lie: which kind it is, its length along the board and its width."""

    kind: int
    length: int
    width: int
    turned: bool = False


class Strip(NamedTuple):
    """A strip of a board: its width, and how many of each shape lie in it."""

    width: int
    counts: tuple[int, ...]


class Board(NamedTuple):
    """A size of board, alike in everything."""

    length: int
    width: int
    price: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StripTask:
    """Shapes, the widest first; the demand of each kind; every board."""

    shapes: tuple[Shape, ...]
    demand: tuple[int, ...]
    boards: tuple[Board, ...]

    def used(self, strip: Strip) -> int:
        """Return the length that a strip takes up."""
        return sum(
            shape.length * count for shape, count in zip(self.shapes, strip.counts, strict=True)
        )


Layout = dict[int, tuple[Strip, ...]]
"""The strips of each board that is opened."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cheapest:
    """A layout, or None where none was found in time; a bound under every price; if it is met."""

    layout: Layout | None
    bound: int
    optimal: bool


def numbers_by_size(task: StripTask) -> dict[Board, list[int]]:
    """Return the numbers of the boards of each size."""
    numbers: dict[Board, list[int]] = {}
    for number, board in enumerate(task.boards):
        numbers.setdefault(board, []).append(number)
    return numbers


def price_of_layout(task: StripTask, layout: Layout) -> int:
    """Return what the opened boards cost together."""
    return sum(task.boards[board].price for board in layout)


def missing_from_layout(task: StripTask, layout: Layout) -> tuple[int, ...]:
    """Return how many of each kind no board holds."""
    strips = (strip for strips in layout.values() for strip in strips)
    return tuple(taken_from(task, task.demand, strips))


def layout_badness(task: StripTask, layout: Layout) -> tuple[int, int, int]:
    """Rank a layout: area that is missing, price of its boards, area behind the cross-cuts."""
    left = missing_from_layout(task, layout)
    missing = sum(
        shape.length * shape.width * left[shape.kind] for shape in task.shapes if not shape.turned
    )
    sections = sum(
        max(task.used(strip) for strip in strips) * task.boards[board].width
        for board, strips in layout.items()
    )
    return missing, price_of_layout(task, layout), sections


def taken_from(task: StripTask, left: Sequence[int], strips: Iterable[Strip]) -> list[int]:
    """Return what is left to make of each kind once `strips` are cut."""
    rest = list(left)
    for strip in strips:
        for shape, count in zip(task.shapes, strip.counts, strict=True):
            rest[shape.kind] -= count
    return rest


def fillable_area(task: StripTask, board: int) -> int:
    """Return the most area of a board that strips and blanks of the wanted sizes can cover."""
    length, width, _ = task.boards[board]
    lengths = [(shape.length, task.demand[shape.kind]) for shape in task.shapes]
    widths = [(shape.width, task.demand[shape.kind]) for shape in task.shapes]
    return _fullest_sum(lengths, length) * _fullest_sum(widths, width)


def needed_area(task: StripTask) -> int:
    """Return the area of all blanks that are wanted."""
    return sum(
        shape.length * shape.width * task.demand[shape.kind]
        for shape in task.shapes
        if not shape.turned
    )


def least_layout_price(task: StripTask) -> int:
    """Return a price that no layout gets under, from the area that all blanks need."""
    return least_price(_by_area(task))


def next_layout_price(task: StripTask, bound: int) -> int:
    """Return the least price of some boards that is not under `bound`."""
    return next_price(_by_area(task), bound)


def _by_area(task: StripTask) -> Packing:
    """Return the task as if blanks were sawdust: only their area has to find room."""
    return Packing(
        sizes=(1,),
        demand=(needed_area(task),),
        rooms=tuple(fillable_area(task, board) or 1 for board in range(len(task.boards))),
        prices=tuple(price for *_, price in task.boards),
    )


def _fullest_sum(sizes: Iterable[tuple[int, int]], room: int) -> int:
    """Return the largest sum of sizes, each as often as it may be, that is not over `room`."""
    mask, reached = (1 << room + 1) - 1, 1
    for size, most in sizes:
        for _ in range(min(most, room // size)):
            reached |= (reached << size) & mask
    return reached.bit_length() - 1
