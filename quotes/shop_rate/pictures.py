"""What moving each thing does to the shop rate: a row for each, the strongest first."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quotes.shop_rate.calc import Lever, LeverPoint
from shop.base.pictures.axes import Scale, round_step, upright_marks
from shop.base.pictures.shapes import NARROW, WIDE, Bar, Dot, Drawing, Line, Picture, Shape, Words

HEAD, FOOT = 34, 8
THICK = 10


@dataclass(frozen=True, slots=True)
class _LeversSheet:
    width: float
    row: float
    middle: float
    left: float
    right: float
    marks: int


ON_DESK = _LeversSheet(width=WIDE, row=36, middle=20, left=190, right=WIDE - 30, marks=8)
ON_PHONE = _LeversSheet(width=NARROW, row=50, middle=36, left=16, right=NARROW - 16, marks=4)


def lever_picture(levers: Sequence[Lever], rate: Decimal) -> Picture:
    """Draw the rates along the way of each lever, with a stroke at the rate as it is."""
    strongest = f"; {levers[0].name.lower()} matters most" if levers else ""
    return Picture(
        wide=_drawing(levers, float(rate), ON_DESK),
        narrow=_drawing(levers, float(rate), ON_PHONE),
        says=f"What the rate of {rate:.2f} depends on, each one alone{strongest}.",
        caption=(
            "Each row: the rate before rounding, with that one figure from 30 % less (hollow) to "
            "30 % more; a dot every 10 %. Vertical line: the present rate."
        ),
    )


def _drawing(levers: Sequence[Lever], rate: float, sheet: _LeversSheet) -> Drawing:
    rates = [float(point.rate) for lever in levers for point in lever.points] or [rate]
    scale, marks = _scale(min(rates), max(rates), sheet)
    height = HEAD + sheet.row * len(levers) + FOOT
    shapes: list[Shape] = [*upright_marks(scale, marks, HEAD, height - FOOT, "")]
    for place, lever in enumerate(levers):
        shapes += _row(lever, scale, sheet, HEAD + sheet.row * place)
    now = scale.at(rate)
    shapes.append(Line(now, HEAD - 4, now, height, "line-1"))
    return Drawing(width=sheet.width, height=height, shapes=tuple(shapes))


def _scale(lowest: float, highest: float, sheet: _LeversSheet) -> tuple[Scale, list[float]]:
    step = round_step(highest - lowest or 1, sheet.marks)
    first, last = math.floor(lowest / step), math.ceil(highest / step)
    marks = [place * step for place in range(first, max(last, first + 1) + 1)]
    return Scale(marks[0], marks[-1], sheet.left, sheet.right), marks


def _row(lever: Lever, scale: Scale, sheet: _LeversSheet, top: float) -> Iterator[Shape]:
    y = top + sheet.middle
    words_y = y + 4 if sheet is ON_DESK else y - 16
    yield Words(0, words_y, lever.name)
    ends = sorted(scale.at(float(point.rate)) for point in lever.points)
    if not ends:
        return
    yield Bar(ends[0], y - THICK / 2, ends[-1] - ends[0], THICK, "band")
    least = min(point.change_percent for point in lever.points)
    for point in lever.points:
        look = "fill-sheet" if point.change_percent == least else "fill-2"
        yield Dot(scale.at(float(point.rate)), y, 4, look, _words(lever, point))


def _words(lever: Lever, point: LeverPoint) -> str:
    name = lever.name.removesuffix(", %")
    return f"{name} {point.value:,.1f} ({point.change_percent:+.0f} %): {point.rate:.2f}"
