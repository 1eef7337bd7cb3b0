"""Hours by number in the pattern, with the learning curve through them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.base.calc.hours import h_mm
from shop.base.pictures.axes import Scale, figure, level_marks, round_step, scale_to
from shop.base.pictures.shapes import (
    NARROW,
    WIDE,
    Area,
    Curve,
    Dot,
    Drawing,
    Line,
    Picture,
    Shape,
    Words,
)
from shop.estimates.calc.learning import LearningCurve

TOP, BOTTOM = 18, 40
HEIGHT = {WIDE: 340, NARROW: 270}
LEFT = {WIDE: 64, NARROW: 48}
MARKS = {WIDE: 12, NARROW: 6}
POINTS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberedHours:
    """The hours of one build of the pattern; hollow unless it is `counted`."""

    number: int
    hours: float
    build: str
    counted: bool


def learning_picture(builds: Sequence[NumberedHours], curve: LearningCurve | None) -> Picture:
    """Draw builds by their number in the pattern, and the curve where one could be fitted."""
    fitted = " and a learning curve" if curve else ""
    return Picture(
        wide=_drawing(builds, curve, WIDE),
        narrow=_drawing(builds, curve, NARROW),
        says=f"Hours of {len(builds)} builds by build number{fitted}.",
        caption=(
            "Dots: builds; hollow if left out."
            + (" Line: learning curve, with its usual error as a band." if curve else "")
        ),
    )


def _drawing(builds: Sequence[NumberedHours], curve: LearningCurve | None, width: float) -> Drawing:
    left, bottom = LEFT[int(width)], HEIGHT[int(width)] - BOTTOM
    first, last = _ends(builds)
    across = Scale(first - 0.5, last + 0.5, left, width - 10)
    highest = max([one.hours for one in builds] + ([curve.hours(first)] if curve else []))
    up, marks = scale_to(highest * 1.05, bottom, TOP, 7)
    shapes: list[Shape] = list(level_marks(up, marks, left, width, "h"))
    shapes += _numbers(across, first, last, bottom, MARKS[int(width)])
    if curve:
        shapes += _curve(curve, across, up, (first, last))
    for one in builds:
        look = "fill-2" if one.counted else "fill-sheet"
        words = f"{one.build}, no. {one.number}: {h_mm(one.hours)}"
        shapes.append(Dot(across.at(one.number), up.at(one.hours), 4.5, look, words))
    return Drawing(width=width, height=HEIGHT[int(width)], shapes=tuple(shapes))


def _ends(builds: Sequence[NumberedHours]) -> tuple[int, int]:
    numbers = [one.number for one in builds]
    return min(numbers), max(numbers)


def _numbers(across: Scale, first: int, last: int, bottom: float, marks: int) -> Iterator[Shape]:
    step = max(round(round_step(max(last - first, 1), marks)), 1)
    yield Line(across.start, bottom, across.end + 10, bottom, "axis")
    for number in range(first, last + 1):
        if number == first or number % step == 0:
            yield Words(across.at(number), bottom + 17, figure(number, ""), "label", "middle")
    middle = (across.start + across.end) / 2
    yield Words(middle, bottom + 35, "build number", "label", "middle")


def _curve(
    curve: LearningCurve, across: Scale, up: Scale, ends: tuple[int, int]
) -> Iterator[Shape]:
    first, last = ends
    steps = [first + (last - first) * place / POINTS for place in range(POINTS + 1)]
    points = [(across.at(number), curve.hours(number)) for number in steps]
    above = [(x, up.at(hours * (1 + curve.typical_miss))) for x, hours in points]
    below = [(x, up.at(hours * (1 - curve.typical_miss))) for x, hours in points]
    yield Area((*above, *reversed(below)), "band")
    yield Curve(tuple((x, up.at(hours)) for x, hours in points), "line-1")
