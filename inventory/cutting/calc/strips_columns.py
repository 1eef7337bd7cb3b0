"""Strips and blanks by the fillings of whole boards, found as a linear program asks for them.

Where blanks have too many sizes to list every strip, only those fillings are made that can still
lower the price (column generation; Gilmore and Gomory 1961, from memory). What a blank is worth to
the program gives a bound that holds however far it got: the worth of all blanks, less what any
board could hold over its price. Then one filling after the other is taken for good and the program
asked again for what is left. Importing this module loads OR-Tools and NumPy.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.linear_solver import pywraplp

from inventory.cutting.calc.strips import (
    Board,
    Cheapest,
    Layout,
    Strip,
    StripTask,
    next_layout_price,
    numbers_by_size,
    taken_from,
)
from inventory.cutting.calc.strips_worth import (
    Filling,
    best_fillings,
    steps_needed,
    without_repeats,
)

_FINE = 1_000
"""Worths are whole thousandths of a price, so that the bound is exact."""

_STEPS_A_SECOND = 300_000_000
_CLOSE = 1.001
"""Fillings are no longer looked for once the program is so near its bound."""


@dataclass(slots=True, eq=False)
class _Column:
    """One filling of one size of board, and what it makes of each kind."""

    board: Board
    strips: tuple[Strip, ...]
    made: tuple[int, ...]
    use: Any
    """How often the program takes it, a variable of its own."""


class _Program:
    """The linear program: what is `left` of each kind is made, on boards that are `free`.

    What is missing costs more than all boards together.
    """

    def __init__(self, task: StripTask) -> None:
        self.task = task
        self.left = list(task.demand)
        self.free = Counter(task.boards)
        self.worths = [0] * len(self.left)
        self.columns: dict[tuple[Board, tuple[int, ...]], _Column] = {}
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._solver.Objective().SetMinimization()
        most = self._solver.infinity()
        self._made = [self._solver.Constraint(count, most) for count in self.left]
        self._opened = {
            board: self._solver.Constraint(-most, count) for board, count in self.free.items()
        }
        self.dearest = 1 + sum(price for *_, price in task.boards)
        for constraint in self._made:
            constraint.SetCoefficient(self._variable(self.dearest), 1)

    def add(self, board: Board, strips: Sequence[Strip]) -> bool:
        """Let the program use a filling; say whether it is a new one."""
        nothing = [0] * len(self.left)
        made = tuple(-count for count in taken_from(self.task, nothing, strips))
        if (board, made) in self.columns:
            return False
        use = self._variable(board.price)
        self._opened[board].SetCoefficient(use, 1)
        for constraint, count in zip(self._made, made, strict=True):
            if count:
                constraint.SetCoefficient(use, count)
        self.columns[board, made] = _Column(board, tuple(strips), made, use)
        return True

    def solve(self) -> float:
        """Return the least price, and keep what a blank of each kind is worth at it."""
        self._solver.Solve()
        self.worths = [
            min(max(int(one.dual_value() * _FINE), 0), self.dearest * _FINE) for one in self._made
        ]
        return float(self._solver.Objective().Value())

    def scarcity(self, board: Board) -> float:
        """Return how much cheaper everything were with one board more of this size."""
        return -float(self._opened[board].dual_value())

    def take(self, column: _Column) -> None:
        """Cut one board so for good: what it makes is no longer left to do."""
        self.free[column.board] -= 1
        self._opened[column.board].SetUb(self.free[column.board])
        self.left = [left - made for left, made in zip(self.left, column.made, strict=True)]
        for constraint, left in zip(self._made, self.left, strict=True):
            constraint.SetLb(left)
        for one in self.columns.values():
            if not self.fits(one):
                one.use.SetUb(0)

    def fits(self, column: _Column) -> bool:
        """Say whether a board is free for it, and all that it makes is still wanted."""
        wanted = all(made <= left for made, left in zip(column.made, self.left, strict=True))
        return wanted and self.free[column.board] > 0

    def likeliest(self) -> _Column | None:
        """Return the filling that is used most of all that fit, at a tie the one worth most."""
        fitting = [column for column in self.columns.values() if self.fits(column)]
        return max(fitting, key=self._likelihood, default=None)

    def _likelihood(self, column: _Column) -> tuple[float, float]:
        worth = sum(worth * made for worth, made in zip(self.worths, column.made, strict=True))
        return round(column.use.solution_value(), 3), worth / column.board.price

    def _variable(self, price: int) -> Any:
        use = self._solver.NumVar(0, self._solver.infinity(), "")
        self._solver.Objective().SetCoefficient(use, price)
        return use


def lay_out_by_columns(task: StripTask, start: Layout, seconds: float) -> Cheapest:
    """Return a cheap layout and a bound, with `start` among what the program may use.

    The bound is for layouts that hold all. `seconds` is work, about that long.
    """
    program = _Program(task)
    for board, strips in start.items():
        program.add(task.boards[board], strips)
    rounds = iter(range(int(seconds * _STEPS_A_SECOND) // steps_needed(task)))
    bound = _improve(program, rounds)
    chosen: list[_Column] = []
    while any(program.left) and (column := program.likeliest()) is not None:
        program.take(column)
        chosen.append(column)
        _improve(program, rounds)
    numbers = numbers_by_size(task)
    layout = {numbers[column.board].pop(0): column.strips for column in chosen}
    return Cheapest(layout=layout, bound=next_layout_price(task, bound), optimal=False)


def _improve(program: _Program, rounds: Iterator[int]) -> int:
    """Add fillings until none lowers the price, or the rounds are used up; return a bound."""
    bound = 0
    price = program.solve()
    for _ in rounds:
        boards = [board for board, count in program.free.items() if count]
        fillings = best_fillings(program.task, program.worths, program.left, boards)
        bound = max(bound, _bound(program, fillings))
        if price <= bound * _CLOSE or not _add_all(program, fillings):
            break
        price = program.solve()
    return bound


def _bound(program: _Program, fillings: dict[Board, Filling]) -> int:
    """Return a price that nothing gets under, whatever the worths: the Lagrangian bound."""
    worth = sum(worth * left for worth, left in zip(program.worths, program.left, strict=True))
    over = sum(
        program.free[board] * max(0, filling.worth - board.price * _FINE)
        for board, filling in fillings.items()
    )
    return -((over - worth) // _FINE)


def _add_all(program: _Program, fillings: dict[Board, Filling]) -> bool:
    """Add what pays for its board, as it is and without repeats; say whether any was new."""
    paying = [
        (board, filling)
        for board, filling in fillings.items()
        if filling.worth > (board.price + program.scarcity(board)) * _FINE
    ]
    new = [program.add(board, filling.strips) for board, filling in paying]
    for board, filling in paying:
        strips = without_repeats(program.task, program.worths, program.left, board, filling)
        new.append(program.add(board, strips))
    return any(new)
