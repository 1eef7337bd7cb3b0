"""Scales and axes: from hours, numbers and shares to pixels, with round figures at the marks."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.base.calc.hours import h_mm
from shop.base.pictures.shapes import Line, Shape, Words

STEPS = (1, 2, 2.5, 5, 10)
MARK_ABOVE = 6


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale: values from `low` to `high` lie between pixels `start` and `end`."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return the pixel of `value`; what lies outside is set at the edge."""
        part = (value - self.low) / (self.high - self.low)
        return self.start + min(max(part, 0), 1) * (self.end - self.start)


def round_step(reach: float, marks: int) -> float:
    """Return the least round step by which `marks` steps cover `reach`."""
    rough = reach / marks
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in STEPS if step * power >= rough * (1 - 1e-9))


def scale_to(highest: float, start: float, end: float, marks: int) -> tuple[Scale, list[float]]:
    """Return a scale from 0 to a round figure at or above `highest`, and its marks.

    Where there is nothing to show it reaches to 1.
    """
    reach = highest or 1
    step = round_step(reach, marks)
    number = math.ceil(reach / step - 1e-9)
    return Scale(0, number * step, start, end), [place * step for place in range(number + 1)]


def upright_marks(
    scale: Scale, marks: list[float], top: float, bottom: float, unit: str
) -> Iterator[Shape]:
    """Yield lines from `top` to `bottom` at each mark of a level scale, with figures above."""
    for value in marks:
        x = scale.at(value)
        yield Line(x, top, x, bottom, "grid")
        yield Words(x, top - MARK_ABOVE, figure(value, unit), "label", "middle")


def level_marks(
    scale: Scale, marks: list[float], left: float, right: float, unit: str
) -> Iterator[Shape]:
    """Yield lines from `left` to `right` at each mark of an upright scale, with figures beside."""
    for value in marks:
        y = scale.at(value)
        yield Line(left, y, right, y, "grid")
        yield Words(left - 8, y + 4, figure(value, unit), "label", "end")


def figure(value: float, unit: str) -> str:
    """Write a mark's figure: 12:30 h, 80 %, 3."""
    if unit == "h":
        return h_mm(value)
    plain = f"{value:g}"
    return f"{plain} {unit}" if unit else plain
