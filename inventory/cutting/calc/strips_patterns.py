"""Strips and blanks by their patterns: exact where all ways to fill a strip can be listed.

Blanks of few sizes, however many, make few different strips, and boards of one size are alike; so
strips are counted for each size of board instead of being placed one by one. What a board holds
across its width is chosen from the ways in which strips of the wanted widths lie beside each other.
Importing this module loads OR-Tools.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from inventory.cutting.calc.packing import Packing, maximal_patterns
from inventory.cutting.calc.packing_solver import solver_with
from inventory.cutting.calc.strips import (
    Board,
    Cheapest,
    Layout,
    Strip,
    StripTask,
    numbers_by_size,
    taken_from,
)

_MOST_PATTERNS = 6_000
_SOLVED = (cp_model.OPTIMAL, cp_model.FEASIBLE)


@dataclass(frozen=True, slots=True)
class _Ways:
    """All strips that a size of board may be ripped into, and how many of each width fit it."""

    strips: tuple[Strip, ...]
    across: tuple[tuple[int, ...], ...]


@dataclass(slots=True)
class _Uses:
    """How often each strip and each way across is used on one size of board."""

    ways: _Ways
    strips: list[Any]
    across: list[Any]


def lay_out_by_patterns(task: StripTask, start: Layout, seconds: float) -> Cheapest:
    """Return the cheapest layout, or none where there are too many ways to list.

    What is missing weighs more than any price. `start` is of no use to it.
    """
    widths = sorted({shape.width for shape in task.shapes})
    ways = _all_ways(task, widths)
    if ways is None:
        return Cheapest(layout=None, bound=0, optimal=False)
    model = cp_model.CpModel()
    sizes = Counter(task.boards)
    uses = {board: _uses(model, ways[board], widths, most) for board, most in sizes.items()}
    missing = [model.new_int_var(0, demand, "") for demand in task.demand]
    for kind, demand in enumerate(task.demand):
        model.add(_made(task, uses.values(), kind) + missing[kind] >= demand)
    dearest = sum(price for *_, price in task.boards) + 1
    opened = sum(board.price * sum(use.across) for board, use in uses.items())
    model.minimize(opened + dearest * sum(missing))
    solver = solver_with(seconds)
    status = solver.solve(model)
    bound = max(round(solver.best_objective_bound), 0)
    if status not in _SOLVED:
        return Cheapest(layout=None, bound=bound, optimal=False)
    layout = _read(solver, task, widths, uses)
    return Cheapest(layout=layout, bound=bound, optimal=status == cp_model.OPTIMAL)


def _all_ways(task: StripTask, widths: Sequence[int]) -> dict[Board, _Ways] | None:
    """List all ways for each size of board; None as soon as they are too many."""
    found: dict[Board, _Ways] = {}
    total = 0
    for board in dict.fromkeys(task.boards):
        most = tuple(board.width // width for width in widths)
        across = _patterns(widths, most, board.width)
        strips: list[Strip] = []
        for width in (width for width in reversed(widths) if width <= board.width):
            listed = _strips_of(task, board, width)
            if listed is None or across is None:
                return None
            strips += listed
            if total + len(strips) + len(across) > _MOST_PATTERNS:
                return None
        total += len(strips) + len(across or ())
        found[board] = _Ways(tuple(strips), tuple(across or ()))
    return found


def _strips_of(task: StripTask, board: Board, width: int) -> list[Strip] | None:
    """Every full strip of exactly `width`: a blank of that width in it, and narrower ones."""
    lengths = [shape.length if shape.width <= width else board.length + 1 for shape in task.shapes]
    demand = [task.demand[shape.kind] for shape in task.shapes]
    leads = [index for index, shape in enumerate(task.shapes) if shape.width == width]
    patterns = _patterns(lengths, demand, board.length)
    if patterns is None:
        return None
    return [Strip(width, counts) for counts in patterns if any(counts[index] for index in leads)]


def _patterns(
    sizes: Sequence[int], demand: Sequence[int], room: int
) -> list[tuple[int, ...]] | None:
    task = Packing(sizes=tuple(sizes), demand=tuple(demand), rooms=(room,), prices=(1,))
    return maximal_patterns(task, room)


def _uses(model: cp_model.CpModel, ways: _Ways, widths: Sequence[int], most: int) -> _Uses:
    """Count strips and ways across of one size of board: no more strips than the ways have."""
    across = [model.new_int_var(0, most, "") for _ in ways.across]
    strips = [
        model.new_int_var(0, most * max(one[widths.index(strip.width)] for one in ways.across), "")
        for strip in ways.strips
    ]
    model.add(sum(across) <= most)
    for place, width in enumerate(widths):
        made = sum(
            use for strip, use in zip(ways.strips, strips, strict=True) if strip.width == width
        )
        room = sum(one[place] * use for one, use in zip(ways.across, across, strict=True))
        model.add(made <= room)
    return _Uses(ways, strips, across)


def _made(task: StripTask, uses: Any, kind: int) -> Any:
    """Return how many blanks of a kind all strips hold together."""
    return sum(
        use
        * sum(
            count
            for shape, count in zip(task.shapes, strip.counts, strict=True)
            if shape.kind == kind
        )
        for one in uses
        for strip, use in zip(one.ways.strips, one.strips, strict=True)
    )


def _read(
    solver: cp_model.CpSolver, task: StripTask, widths: Sequence[int], uses: dict[Board, _Uses]
) -> Layout:
    """Give the strips to boards of their size, without what is over the demand."""
    left = list(task.demand)
    layout: Layout = {}
    free = numbers_by_size(task)
    for size, use in uses.items():
        chosen = _chosen(solver, use)
        for way, times in zip(use.ways.across, use.across, strict=True):
            for _ in range(solver.value(times)):
                strips = [
                    strip
                    for width, count in zip(widths, way, strict=True)
                    for strip in _pop(chosen, width, count)
                ]
                kept = tuple(_trimmed(task, strips, left))
                if kept:
                    layout[free[size].pop(0)] = kept
                    left = taken_from(task, left, kept)
    return layout


def _chosen(solver: cp_model.CpSolver, use: _Uses) -> dict[int, list[Strip]]:
    chosen: dict[int, list[Strip]] = {}
    for strip, times in zip(use.ways.strips, use.strips, strict=True):
        chosen.setdefault(strip.width, []).extend([strip] * solver.value(times))
    return chosen


def _pop(chosen: dict[int, list[Strip]], width: int, count: int) -> list[Strip]:
    waiting = chosen.get(width, [])
    taken, chosen[width] = waiting[:count], waiting[count:]
    return taken


def _trimmed(task: StripTask, strips: Sequence[Strip], left: Sequence[int]) -> Iterator[Strip]:
    """Yield strips without the blanks that nobody wants any more; empty ones are left out."""
    rest = list(left)
    for strip in strips:
        counts = []
        for shape, count in zip(task.shapes, strip.counts, strict=True):
            taken = min(count, rest[shape.kind])
            rest[shape.kind] -= taken
            counts.append(taken)
        if any(counts):
            yield Strip(strip.width, tuple(counts))
