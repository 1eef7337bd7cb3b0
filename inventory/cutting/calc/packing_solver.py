"""Packing with OR-Tools CP-SAT: the cheapest rooms with a proof or a bound, then a tidy filling.

Runs on one thread with a fixed seed and a limit on work rather than on time, so that the same
task gives the same answer on every machine. Importing this module loads OR-Tools.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from ortools.sat.python import cp_model

from inventory.cutting.calc.packing import (
    Counts,
    Packed,
    Packing,
    badness,
    least_price,
    maximal_patterns,
    missing_from,
    next_price,
    price_of,
)
from inventory.cutting.calc.packing_fill import filled

_TIDY_AT_MOST = 900
_SOLVED = (cp_model.OPTIMAL, cp_model.FEASIBLE)

_Kind = tuple[int, int]
"""Rooms of one size and price."""

_Column = tuple[_Kind, Counts]


def solver_with(seconds: float, *, many_ways: bool = False) -> cp_model.CpSolver:
    """Return a solver that repeats itself; `seconds` is work, about that long on a quick machine.

    No clock stops it: a slow or busy machine takes longer for the same answer. `many_ways` takes
    turns between search strategies: better where a proof is out of reach, slower elsewhere.
    """
    solver = cp_model.CpSolver()
    # One thread, a fixed seed and a limit on work: a plan that was printed can be made again.
    solver.parameters.num_workers = 1
    solver.parameters.interleave_search = many_ways
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = seconds
    return solver


def pack(task: Packing, seconds: float) -> Packed:
    """Return rooms that hold what can be held, at the least price that was found.

    What is missing weighs more than any price. The bound is under every price that holds all.
    """
    quick = filled(task)
    if not any(missing_from(task, quick)) and price_of(task, quick) <= least_price(task):
        return _answer(task, quick, least_price(task), proven=True)
    columns: list[_Column] = []
    for kind in _kinds(task):
        patterns = maximal_patterns(task, kind[0])
        if patterns is None:
            return _by_assignment(task, seconds)
        columns += [(kind, counts) for counts in patterns]
    return _by_patterns(task, columns, seconds)


def tidied(task: Packing, packed: Packed, least: int, seconds: float) -> Packed:
    """Pack the opened rooms again so that what is left over is useful: in few, long remnants.

    `least` is the shortest remnant worth keeping. Kept remnants count by their length, and the
    longest of them twice. Large tasks are left as they are.
    """
    over = [task.rooms[room] - task.used(counts) for room, counts in packed.rooms.items()]
    settled = sum(over) in (0, max(over, default=0)) or sum(over) < least
    if settled or len(over) * len(task.sizes) > _TIDY_AT_MOST:
        return packed
    model = cp_model.CpModel()
    rows = _row_variables(model, task, list(packed.rooms), packed.rooms)
    for size, column in enumerate(zip(*rows.values(), strict=True)):
        model.add(sum(column) == sum(counts[size] for counts in packed.rooms.values()))
    kept = [_kept_in(model, task, room, row, least) for room, row in rows.items()]
    longest = _one_of(model, kept, max(task.rooms))
    model.maximize(sum(kept) + longest)
    solver = solver_with(seconds, many_ways=True)
    if solver.solve(model) not in _SOLVED:
        return packed
    return replace(packed, rooms=_read(solver, rows))


def _kinds(task: Packing) -> Counter[_Kind]:
    return Counter(zip(task.rooms, task.prices, strict=True))


def _by_patterns(task: Packing, columns: list[_Column], seconds: float) -> Packed:
    """Choose among all ways to fill each kind of room; exact when it ends in time."""
    model = cp_model.CpModel()
    kinds = _kinds(task)
    times = [model.new_int_var(0, kinds[kind], "") for kind, _ in columns]
    uses = list(zip(columns, times, strict=True))
    for one, most in kinds.items():
        model.add(sum(use for (kind, _), use in uses if kind == one) <= most)
    missing = _missing_variables(model, task)
    for size, demand in enumerate(task.demand):
        held = sum(use * counts[size] for (_, counts), use in uses if counts[size])
        model.add(held + missing[size] >= demand)
    model.minimize(sum(use * kind[1] for (kind, _), use in uses) + _penalty(task, missing))
    solver = solver_with(seconds)
    status = solver.solve(model)
    rooms = filled(task)
    if status in _SOLVED:
        chosen = [column for column, use in uses for _ in range(solver.value(use))]
        rooms = min(rooms, _placed(task, chosen), key=lambda one: badness(task, one))
    return _answer(task, rooms, _bound(solver), proven=status == cp_model.OPTIMAL)


def _placed(task: Packing, chosen: Iterable[_Column]) -> dict[int, Counts]:
    """Give each chosen filling a room of its kind, without what is over the demand."""
    free: dict[_Kind, list[int]] = {}
    for room, kind in enumerate(zip(task.rooms, task.prices, strict=True)):
        free.setdefault(kind, []).append(room)
    left = list(task.demand)
    rooms: dict[int, Counts] = {}
    for kind, counts in sorted(chosen, key=lambda one: (-task.used(one[1]), one)):
        taken = tuple(min(count, want) for count, want in zip(counts, left, strict=True))
        if any(taken):
            rooms[free[kind].pop(0)] = taken
            left = [want - have for want, have in zip(left, taken, strict=True)]
    return rooms


def _by_assignment(task: Packing, seconds: float) -> Packed:
    """Place every size in a room, starting from a quick filling and improving on it."""
    start = filled(task)
    model = cp_model.CpModel()
    opened = [model.new_bool_var("") for _ in task.rooms]
    rows = _row_variables(model, task, range(len(task.rooms)), start)
    missing = _missing_variables(model, task)
    for size, column in enumerate(zip(*rows.values(), strict=True)):
        model.add(sum(column) + missing[size] == task.demand[size])
        model.add_hint(missing[size], missing_from(task, start)[size])
    for room, row in rows.items():
        model.add(_used(task, row) <= task.rooms[room] * opened[room])
        model.add_hint(opened[room], room in start)
    prices = sum(task.prices[room] * opened[room] for room in rows)
    model.minimize(prices + _penalty(task, missing))
    solver = solver_with(seconds, many_ways=True)
    status = solver.solve(model)
    rooms = start
    if status in _SOLVED:
        rooms = min(start, _read(solver, rows), key=lambda one: badness(task, one))
    return _answer(task, rooms, _bound(solver), proven=status == cp_model.OPTIMAL)


def _row_variables(
    model: cp_model.CpModel, task: Packing, rooms: Sequence[int], start: dict[int, Counts]
) -> dict[int, list[Any]]:
    """Return for each room how many of each size lie in it, starting from a known filling."""
    rows: dict[int, list[Any]] = {}
    for room in rooms:
        hints = start.get(room, (0,) * len(task.sizes))
        rows[room] = [
            model.new_int_var(0, min(demand, task.rooms[room] // size), "")
            for size, demand in zip(task.sizes, task.demand, strict=True)
        ]
        model.add(_used(task, rows[room]) <= task.rooms[room])
        for variable, hint in zip(rows[room], hints, strict=True):
            model.add_hint(variable, hint)
    return rows


def _kept_in(model: cp_model.CpModel, task: Packing, room: int, row: list[Any], least: int) -> Any:
    """Return the remnant of one room, 0 when it is shorter than `least`."""
    kept = model.new_int_var(0, task.rooms[room], "")
    worth = model.new_bool_var("")
    rest = task.rooms[room] - _used(task, row)
    model.add(rest >= least * worth)
    model.add(kept <= rest)
    model.add(kept <= task.rooms[room] * worth)
    return kept


def _one_of(model: cp_model.CpModel, values: list[Any], most: int) -> Any:
    """Return a value that is at most one of `values`: its largest, when it is made large."""
    one = model.new_int_var(0, most, "")
    chosen = [model.new_bool_var("") for _ in values]
    model.add_exactly_one(chosen)
    for value, choice in zip(values, chosen, strict=True):
        model.add(one <= value).only_enforce_if(choice)
    return one


def _missing_variables(model: cp_model.CpModel, task: Packing) -> list[Any]:
    return [model.new_int_var(0, demand, "") for demand in task.demand]


def _used(task: Packing, row: list[Any]) -> Any:
    return sum(size * count for size, count in zip(task.sizes, row, strict=True))


def _penalty(task: Packing, missing: list[Any]) -> Any:
    """Weigh what is missing over every price, by its size."""
    return (sum(task.prices) + 1) * _used(task, missing)


def _read(solver: cp_model.CpSolver, rows: dict[int, list[Any]]) -> dict[int, Counts]:
    found = {room: tuple(solver.value(one) for one in row) for room, row in rows.items()}
    return {room: counts for room, counts in found.items() if any(counts)}


def _bound(solver: cp_model.CpSolver) -> int:
    return max(round(solver.best_objective_bound), 0)


def _answer(task: Packing, rooms: dict[int, Counts], bound: int, *, proven: bool) -> Packed:
    missing, price = missing_from(task, rooms), price_of(task, rooms)
    # A solver that was stopped early may know of no bound: all sizes need their room all the same.
    least = least_price(task) if task.rooms else 0
    reachable = price if proven else next_price(task, max(bound, least))
    return Packed(
        rooms=rooms,
        missing=missing,
        bound=min(reachable, price),
        proven=proven or (not any(missing) and reachable >= price),
    )
