"""Cutting plans in two dimensions: boards ripped along the grain, the strips cut to blanks.

Every cut goes through (guillotine): a cross-cut where the longest strip ends, rips, cross-cuts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate

from inventory.base.refusals import Refusal
from inventory.cutting.calc.costs import Saw
from inventory.cutting.calc.strips import Board, Shape, Strip, StripTask, missing_from_layout

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockBoard:
    """Boards to cut from: `count` of one size in mm, the length along the grain."""

    key: str
    length: Decimal
    width: Decimal
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """Blanks that are wanted, in mm, the length along the grain unless `may_turn`."""

    key: str
    length: Decimal
    width: Decimal
    count: int = 1
    may_turn: bool = False


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A part of a board in mm: `x` along the grain from its untrimmed end, `y` across it."""

    x: Decimal
    y: Decimal
    length: Decimal
    width: Decimal

    @property
    def area(self) -> Decimal:
        """The area in mm²."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class BlankCut:
    """One blank where it lies on its board; `turned` when its grain runs across."""

    part: str
    place: Rectangle
    turned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBoard:
    """One board as it is cut.

    `section` is where the first cross-cut falls, in mm from the untrimmed end, kerf included.
    `strips` are the rips. Remnants are large enough to go back to stock; `lost` is the area of
    trim, sawdust and scrap.
    """

    stock: str
    length: Decimal
    width: Decimal
    trim: Decimal
    section: Decimal
    strips: tuple[Rectangle, ...]
    cuts: tuple[BlankCut, ...]
    remnants: tuple[Rectangle, ...]

    @property
    def usable(self) -> Decimal:
        """The area between the trimmed ends: what a remnant takes its share of cost from."""
        return (self.length - 2 * self.trim) * self.width

    @property
    def lost(self) -> Decimal:
        """The area that neither a blank nor a remnant keeps."""
        kept = sum((cut.place.area for cut in self.cuts), _ZERO)
        kept += sum((remnant.area for remnant in self.remnants), _ZERO)
        return self.length * self.width - kept


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlan:
    """A cutting plan; `missing` counts blanks that no board was found for.

    `opened` is the area of the boards that are cut into, in mm², `least_opened` a bound that no
    plan of strips and blanks for the same parts gets under; `proven` says that it is met.
    """

    boards: tuple[CutBoard, ...]
    missing: tuple[tuple[str, int], ...]
    opened: Decimal
    least_opened: Decimal | None
    proven: bool


def plan_boards(
    stock: Sequence[StockBoard], blanks: Sequence[Blank], saw: Saw, *, seconds: float = 1.0
) -> BoardPlan:
    """Plan cuts that open the least area of boards, then leave the longest full-width remnants.

    A narrow blank may lie in a wider strip and is ripped again. `seconds` limits the work,
    and with none it is a first plan, made at once; the same request gives the same plan. Loads
    OR-Tools.
    """
    from inventory.cutting.calc.strips_solver import lay_out

    _check(stock, blanks)
    wanted = sum(blank.count for blank in blanks)
    boards = [
        one
        for one in sorted(stock, key=lambda one: (one.length * one.width, one.key))
        for _ in range(min(one.count, wanted))
        if one.length > 2 * saw.trim
    ]
    fine = _fineness(stock, blanks, saw)
    task = _task(boards, blanks, saw, fine)
    answer = lay_out(task, seconds)
    missing = missing_from_layout(task, answer.layout)
    return BoardPlan(
        boards=tuple(
            _cut_board(boards[board], _named(task, strips, blanks), saw)
            for board, strips in sorted(answer.layout.items())
        ),
        missing=tuple(
            (blank.key, count) for blank, count in zip(blanks, missing, strict=True) if count
        ),
        opened=sum((boards[b].length * boards[b].width for b in answer.layout), _ZERO),
        least_opened=None if any(missing) else Decimal(answer.bound) / fine**2,
        proven=answer.proven,
    )


def _task(boards: Sequence[StockBoard], blanks: Sequence[Blank], saw: Saw, fine: int) -> StripTask:
    shapes: list[Shape] = []
    for kind, blank in enumerate(blanks):
        along, across = (int((size + saw.kerf) * fine) for size in (blank.length, blank.width))
        shapes.append(Shape(kind, along, across))
        if blank.may_turn and along != across:
            shapes.append(Shape(kind, across, along, turned=True))
    return StripTask(
        shapes=tuple(sorted(shapes, key=lambda shape: (-shape.width, -shape.length, shape.kind))),
        demand=tuple(blank.count for blank in blanks),
        boards=tuple(
            Board(
                length=int((one.length - 2 * saw.trim + saw.kerf) * fine),
                width=int((one.width + saw.kerf) * fine),
                price=int(one.length * one.width * fine**2),
            )
            for one in boards
        ),
    )


_Row = tuple[Decimal, list[tuple[Blank, bool]]]
"""A strip's width and its blanks in order, each with whether it is turned."""


def _named(task: StripTask, strips: Sequence[Strip], blanks: Sequence[Blank]) -> list[_Row]:
    """Turn strips into rows of blanks; the longest strip lies first, its longest blank first."""
    rows: list[_Row] = []
    for strip in sorted(strips, key=lambda one: (-task.used(one), -one.width, one.counts)):
        row = [
            (blanks[shape.kind], shape.turned)
            for shape, count in zip(task.shapes, strip.counts, strict=True)
            for _ in range(count)
        ]
        row.sort(key=lambda one: (-_along(*one), -_across(*one), one[0].key))
        rows.append((max(_across(*one) for one in row), row))
    return rows


def _along(blank: Blank, turned: bool) -> Decimal:
    return blank.width if turned else blank.length


def _across(blank: Blank, turned: bool) -> Decimal:
    return blank.length if turned else blank.width


def _cut_board(stock: StockBoard, rows: Sequence[_Row], saw: Saw) -> CutBoard:
    usable = stock.length - 2 * saw.trim
    lengths = [sum((_along(*one) + saw.kerf for one in row), _ZERO) for _, row in rows]
    longest = max(lengths)
    body = longest - saw.kerf if longest <= usable else usable
    tops = list(accumulate((width + saw.kerf for width, _ in rows), initial=_ZERO))
    rows_at = list(zip(tops, rows, strict=False))
    strips = tuple(Rectangle(saw.trim, top, body, width) for top, (width, _) in rows_at)
    end = Rectangle(saw.trim + longest, _ZERO, usable - longest, stock.width)
    edge = Rectangle(saw.trim, tops[-1], body, stock.width - tops[-1])
    ends = [_end_of(strip, used) for strip, used in zip(strips, lengths, strict=True)]
    return CutBoard(
        stock=stock.key,
        length=stock.length,
        width=stock.width,
        trim=saw.trim,
        section=saw.trim + min(longest, usable),
        strips=strips,
        cuts=tuple(cut for top, (_, row) in rows_at for cut in _cuts(row, top, saw)),
        remnants=tuple(one for one in (end, edge, *ends) if _is_worth_keeping(one, saw)),
    )


def _end_of(strip: Rectangle, used: Decimal) -> Rectangle:
    return Rectangle(strip.x + used, strip.y, strip.length - used, strip.width)


def _cuts(row: Sequence[tuple[Blank, bool]], top: Decimal, saw: Saw) -> list[BlankCut]:
    starts = accumulate((_along(*one) + saw.kerf for one in row), initial=saw.trim)
    return [
        BlankCut(
            blank.key,
            Rectangle(start, top, _along(blank, turned), _across(blank, turned)),
            turned,
        )
        for (blank, turned), start in zip(row, starts, strict=False)
    ]


def _is_worth_keeping(rest: Rectangle, saw: Saw) -> bool:
    large = rest.length >= saw.least_length and rest.width >= saw.least_width
    return large and min(rest.length, rest.width) > 0


def _fineness(stock: Sequence[StockBoard], blanks: Sequence[Blank], saw: Saw) -> int:
    """Return the power of ten that makes every size a whole number."""
    sizes = [saw.kerf, saw.trim]
    sizes += [size for one in stock for size in (one.length, one.width)]
    sizes += [size for one in blanks for size in (one.length, one.width)]
    places = [-int(size.normalize().as_tuple().exponent) for size in sizes]
    return int(10 ** max(0, *places))


def _check(stock: Sequence[StockBoard], blanks: Sequence[Blank]) -> None:
    if not blanks or not stock:
        raise Refusal("A cutting plan needs at least one blank and one board.")
    asked = [(one.key, one.length, one.width, one.count) for one in stock]
    asked += [(one.key, one.length, one.width, one.count) for one in blanks]
    for key, length, width, count in asked:
        if min(length, width) <= 0 or count < 1:
            raise Refusal(f"{key} needs a length and width above 0 and a count of at least 1.")
