"""Hours per stage as ranges, with past builds as dots."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.base.calc.hours import h_mm
from shop.base.pictures.axes import Scale, scale_to, upright_marks
from shop.base.pictures.shapes import (
    NARROW,
    WIDE,
    Bar,
    Dot,
    Drawing,
    Line,
    Picture,
    Shape,
    Words,
    fitted,
)
from shop.estimates.calc.records import HoursRange

HEAD, FOOT = 26, 6
BAND, TICK = 12, 9
DOT = 3.5
LEAST_DOT = 1.5
SPREAD = (0, -4, 4, -2, 2)
"""Dots lie a little above and below one another, in turn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastDot:
    """The hours of one past build on a stage; `weight` is the builds that it counts as."""

    build: str
    hours: float
    weight: float
    counted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """One stage: its range, and the past builds behind it."""

    name: str
    hours: HoursRange
    past: Sequence[PastDot]


@dataclass(frozen=True, slots=True)
class _RangesSheet:
    """How rows are laid out: names beside the ranges on a desk, above them on a phone."""

    width: float
    row: float
    middle: float
    left: float
    right: float
    marks: int


ON_DESK = _RangesSheet(width=WIDE, row=28, middle=14, left=365, right=WIDE - 70, marks=8)
ON_PHONE = _RangesSheet(width=NARROW, row=46, middle=30, left=8, right=NARROW - 62, marks=5)


def stage_ranges(rows: Sequence[StageRow]) -> Picture:
    """Draw each stage's middle 80 and 90 of 100 builds, its median, and its past builds."""
    dots = sum(len(row.past) for row in rows)
    return Picture(
        wide=_drawing(rows, ON_DESK),
        narrow=_drawing(rows, ON_PHONE),
        says=f"Hours of {len(rows)} stages as ranges, with {dots} figures of past builds.",
        caption=(
            "Upright line: typical (median). Band: 80 % range. Thin line: 90 % range. Dots: "
            "past builds, smaller with less weight, hollow if left out."
        ),
    )


def _drawing(rows: Sequence[StageRow], sheet: _RangesSheet) -> Drawing:
    scale, marks = scale_to(_furthest(rows), sheet.left, sheet.right, sheet.marks)
    height = HEAD + sheet.row * len(rows) + FOOT
    shapes: list[Shape] = list(upright_marks(scale, marks, HEAD, height - FOOT, "h"))
    for place, row in enumerate(rows):
        shapes += _row(row, scale, sheet, HEAD + sheet.row * place)
    return Drawing(width=sheet.width, height=height, shapes=tuple(shapes))


def _furthest(rows: Sequence[StageRow]) -> float:
    ends = [row.hours.range_90[1] for row in rows]
    return max(ends + [dot.hours for row in rows for dot in row.past], default=1)


def _row(row: StageRow, scale: Scale, sheet: _RangesSheet, top: float) -> Iterator[Shape]:
    y = top + sheet.middle
    if sheet is ON_DESK:
        yield Words(0, y + 4, fitted(row.name, sheet.left - 20))
    else:
        yield Words(0, y - 16, fitted(row.name, sheet.width))
    low, high = (scale.at(end) for end in row.hours.range_90)
    yield Line(low, y, high, y, "axis")
    low, high = (scale.at(end) for end in row.hours.range_80)
    yield Bar(low, y - BAND / 2, max(high - low, 1), BAND, "band", _range_words(row))
    for place, dot in enumerate(row.past):
        yield _dot(dot, scale.at(dot.hours), y + SPREAD[place % len(SPREAD)])
    middle = scale.at(row.hours.median)
    yield Line(middle, y - TICK, middle, y + TICK, "line-1")
    yield Words(sheet.width, y + 4, h_mm(row.hours.median, 6), "", "end")


def _dot(dot: PastDot, x: float, y: float) -> Dot:
    radius = max(DOT * dot.weight**0.5, LEAST_DOT) if dot.counted else DOT
    words = f"{dot.build}: {h_mm(dot.hours)}"
    look = "fill-2" if dot.counted else "fill-sheet"
    return Dot(x, y, radius, look, words if dot.counted else f"{words}, left out")


def _range_words(row: StageRow) -> str:
    low, high = row.hours.range_80
    return f"{row.name}: 80 % range {h_mm(low, 6)} to {h_mm(high, 6)}"
