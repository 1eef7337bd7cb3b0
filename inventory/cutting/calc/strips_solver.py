"""Strips and blanks with OR-Tools CP-SAT: the cheapest boards, then the longest remnants.

Importing this module loads OR-Tools.
"""

from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from inventory.cutting.calc.packing_solver import solver_with
from inventory.cutting.calc.strips import (
    Cheapest,
    Layout,
    Strip,
    StripTask,
    fillable_area,
    layout_badness,
    least_layout_price,
    missing_from_layout,
    price_of_layout,
)
from inventory.cutting.calc.strips_columns import lay_out_by_columns
from inventory.cutting.calc.strips_fill import laid_out, laid_out_once
from inventory.cutting.calc.strips_patterns import lay_out_by_patterns

_SHORTEN_AT_MOST = 4_000
"""Blanks times boards, over which the boards are left as the cheapest layout has them."""

_SOLVED = (cp_model.OPTIMAL, cp_model.FEASIBLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """A layout, a bound under the price of every layout that holds all, and whether it is met."""

    layout: Layout
    bound: int
    proven: bool


@dataclass(slots=True)
class _Slot:
    """A strip that may be made: the shape that leads it, where it lies, and what lies in it."""

    lead: int
    at: dict[int, Any]
    counts: dict[int, Any]


def lay_out(task: StripTask, seconds: float) -> LaidOut:
    """Return a layout that holds what can be held, at the least price that was found.

    `seconds` is work. Once the boards are chosen, a third of it goes into cutting each of them as
    short as can be, so that what is left of it is one remnant at full width; very large tasks are
    left as they are. With no seconds at all it is the first layout that fits, with the plain bound.
    """
    if seconds <= 0:
        return _first(task)
    best, bound, optimal = _cheapest(task, laid_out(task), seconds)
    price = price_of_layout(task, best)
    complete = not any(missing_from_layout(task, best))
    places = len(best) * sum(task.demand)
    if complete and places <= _SHORTEN_AT_MOST:
        best = _solve(task, best, sorted(best), seconds / 3, shortest=True).layout or best
    return LaidOut(
        layout=best,
        bound=price if optimal else min(bound, price),
        proven=optimal or (complete and bound >= price),
    )


def _first(task: StripTask) -> LaidOut:
    layout = laid_out_once(task)
    bound = least_layout_price(task) if task.boards else 0
    price = price_of_layout(task, layout)
    complete = not any(missing_from_layout(task, layout))
    return LaidOut(layout=layout, bound=min(bound, price), proven=complete and bound >= price)


def _cheapest(task: StripTask, best: Layout, seconds: float) -> tuple[Layout, int, bool]:
    """Return the cheapest layout found, a bound, and whether it is met.

    What is not proven yet is looked for by patterns, where they can be listed; then by fillings of
    whole boards, which are good at many blanks; then strip by strip, which is good at few.
    """
    bound, optimal = least_layout_price(task) if task.boards else 0, False
    for look, work in (
        (lay_out_by_patterns, seconds * 2 / 3),
        (lay_out_by_columns, seconds * 2 / 3),
        (_strip_by_strip, seconds * 2 / 3),
    ):
        if optimal or layout_badness(task, best)[:2] <= (0, bound):
            break
        found = look(task, best, work)
        best = min(best, found.layout or best, key=lambda layout: layout_badness(task, layout))
        bound, optimal = max(bound, found.bound), found.optimal
    return best, bound, optimal


def _strip_by_strip(task: StripTask, start: Layout, seconds: float) -> Cheapest:
    return _solve(task, start, list(range(len(task.boards))), seconds)


def _solve(
    task: StripTask, start: Layout, boards: list[int], seconds: float, *, shortest: bool = False
) -> Cheapest:
    model = cp_model.CpModel()
    slots = _slots(model, task, boards)
    missing = _demand(model, task, slots)
    opened = _boards(model, task, slots, boards)
    if shortest:
        model.add(sum(missing) == 0)
        model.minimize(_sections(model, task, slots, boards))
    else:
        model.minimize(
            sum(task.boards[board][2] * one for board, one in opened.items())
            + _penalty(task, missing)
        )
    _hint(model, task, slots, start)
    solver = solver_with(seconds, many_ways=True)
    status = solver.solve(model)
    bound = max(round(solver.best_objective_bound), 0)
    if status not in _SOLVED:
        return Cheapest(layout=None, bound=0, optimal=False)
    found = _read(solver, task, slots)
    best = min(start, found, key=lambda layout: layout_badness(task, layout))
    return Cheapest(layout=best, bound=bound, optimal=status == cp_model.OPTIMAL)


def _slots(model: cp_model.CpModel, task: StripTask, boards: list[int]) -> list[_Slot]:
    """Return as many possible strips for each leading shape as there are blanks of it."""
    slots: list[_Slot] = []
    for lead, shape in enumerate(task.shapes):
        fits = [
            board
            for board in boards
            if shape.length <= task.boards[board][0] and shape.width <= task.boards[board][1]
        ]
        longest = max((task.boards[board][0] for board in fits), default=0)
        before: Any = None
        for _ in range(task.demand[shape.kind] if fits else 0):
            slot = _slot(model, task, lead, fits)
            made = sum(slot.at.values())
            model.add(made <= 1)
            model.add(slot.counts[lead] >= made)
            lengths = sum(task.boards[board][0] * at for board, at in slot.at.items())
            model.add(_used(task, slot) <= lengths)
            model.add(_used(task, slot) <= longest)
            if before is not None:
                model.add(made <= before)
            before = made
            slots.append(slot)
    return slots


def _slot(model: cp_model.CpModel, task: StripTask, lead: int, boards: list[int]) -> _Slot:
    return _Slot(
        lead=lead,
        at={board: model.new_bool_var("") for board in boards},
        counts={
            index: model.new_int_var(0, task.demand[shape.kind], "")
            for index, shape in enumerate(task.shapes)
            if index >= lead
        },
    )


def _demand(model: cp_model.CpModel, task: StripTask, slots: list[_Slot]) -> list[Any]:
    """Place every blank once or count it as missing."""
    missing = []
    for kind, demand in enumerate(task.demand):
        made = sum(
            count
            for slot in slots
            for index, count in slot.counts.items()
            if task.shapes[index].kind == kind
        )
        missing.append(model.new_int_var(0, demand, ""))
        model.add(made + missing[kind] == demand)
    return missing


def _boards(
    model: cp_model.CpModel, task: StripTask, slots: list[_Slot], boards: list[int]
) -> dict[int, Any]:
    """Keep the strips of each board within its width, and all blanks within the area opened."""
    opened = {board: model.new_bool_var("") for board in boards}
    for board, one in opened.items():
        widths = sum(
            task.shapes[slot.lead].width * slot.at[board] for slot in slots if board in slot.at
        )
        model.add(widths <= task.boards[board][1] * one)
    area = sum(fillable_area(task, board) * one for board, one in opened.items())
    blanks = sum(
        task.shapes[index].length * task.shapes[index].width * count
        for slot in slots
        for index, count in slot.counts.items()
    )
    model.add(blanks <= area)
    return opened


def _sections(
    model: cp_model.CpModel, task: StripTask, slots: list[_Slot], boards: list[int]
) -> Any:
    """Return the area of the boards that is cut into, up to the end of their longest strips."""
    total: Any = 0
    for board in boards:
        length, width, _ = task.boards[board]
        section = model.new_int_var(0, length, "")
        for slot in slots:
            if board in slot.at:
                model.add(section >= _used(task, slot)).only_enforce_if(slot.at[board])
        total += section * width
    return total


def _used(task: StripTask, slot: _Slot) -> Any:
    return sum(task.shapes[index].length * count for index, count in slot.counts.items())


def _penalty(task: StripTask, missing: list[Any]) -> Any:
    """Weigh what is missing over every price, by about its area."""
    area = {shape.kind: shape.length * shape.width for shape in task.shapes}
    dearest = sum(price for *_, price in task.boards) + 1
    smallest = min(area.values(), default=1)
    weights = [max(area.get(kind, smallest) // smallest, 1) for kind in range(len(task.demand))]
    return sum(dearest * weight * one for weight, one in zip(weights, missing, strict=True))


def _hint(model: cp_model.CpModel, task: StripTask, slots: list[_Slot], start: Layout) -> None:
    """Start from a known layout: give each of its strips a slot with the same leading shape."""
    waiting = [(board, strip) for board, strips in sorted(start.items()) for strip in strips]
    for slot in slots:
        mine = next((one for one in waiting if _lead_of(one[1]) == slot.lead), None)
        if mine is not None:
            waiting.remove(mine)
        for board, at in slot.at.items():
            model.add_hint(at, mine is not None and mine[0] == board)
        for index, count in slot.counts.items():
            model.add_hint(count, mine[1].counts[index] if mine else 0)


def _lead_of(strip: Strip) -> int:
    return next(index for index, count in enumerate(strip.counts) if count)


def _read(solver: cp_model.CpSolver, task: StripTask, slots: list[_Slot]) -> Layout:
    layout: dict[int, list[Strip]] = {}
    for slot in slots:
        for board, at in slot.at.items():
            if solver.value(at):
                counts = tuple(
                    solver.value(slot.counts[index]) if index in slot.counts else 0
                    for index in range(len(task.shapes))
                )
                layout.setdefault(board, []).append(Strip(task.shapes[slot.lead].width, counts))
    return {board: tuple(strips) for board, strips in layout.items()}
