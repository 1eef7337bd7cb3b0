"""How often the truth fell within the ranges that were given, against how often it should have."""

from collections.abc import Iterator, Sequence

from shop.base.pictures.axes import Scale, level_marks
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
from shop.estimates.calc.backtest import Calibration

TOP, BOTTOM, LEFT = 14, 42, 52
SIDE = {WIDE: 600, NARROW: 290}
TALL = {WIDE: 330, NARROW: 230}
KEY_LEFT = 40
TWO_DEVIATIONS = 1.96
SHARES = [0, 20, 40, 60, 80, 100]


def calibration_picture(found: Sequence[Calibration], builds: int) -> Picture:
    """Draw the part of stages and of whole builds that fell within ranges of 10 to 90 %.

    builds: whole builds that were scored; the fewer, the further luck alone may carry them.
    """
    return Picture(
        wide=_drawing(found, builds, WIDE),
        narrow=_drawing(found, builds, NARROW),
        says="; ".join(
            f"{one.total:.0%} of builds and {one.stages:.0%} of stages were within the "
            f"{one.nominal:.0%} range"
            for one in found
        ),
        caption=(
            "On the thin straight line, the ranges were right. Above it they were too wide, "
            "below it too narrow. Inside the band the difference may be chance."
        ),
    )


def _drawing(found: Sequence[Calibration], builds: int, width: float) -> Drawing:
    side = SIDE[int(width)]
    across = Scale(0, 100, LEFT, LEFT + side)
    up = Scale(0, 100, TOP + TALL[int(width)], TOP)
    shapes = [*_luck(builds, across, up), *_frame(across, up)]
    stages = tuple((across.at(100 * o.nominal), up.at(100 * o.stages)) for o in found)
    totals = tuple((across.at(100 * o.nominal), up.at(100 * o.total)) for o in found)
    shapes += [Curve(stages, "line-2"), Curve(totals, "line-1")]
    shapes += [Dot(x, y, 4, "fill-1") for x, y in totals]
    height = up.start + BOTTOM
    if width == WIDE:
        shapes += _key(LEFT + side + KEY_LEFT, TOP + 20)
    else:
        shapes += _key(LEFT, height + 14)
        height += 50
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _luck(builds: int, across: Scale, up: Scale) -> Iterator[Shape]:
    """Yield the band in which a share of `builds` would lie 95 times in 100 if ranges were true."""
    if not builds:
        return
    above, below = [], []
    for share in range(0, 101, 2):
        part = share / 100
        reach = 100 * TWO_DEVIATIONS * (part * (1 - part) / builds) ** 0.5
        above.append((across.at(share), up.at(share + reach)))
        below.append((across.at(share), up.at(share - reach)))
    yield Area((*above, *reversed(below)), "band")


def _frame(across: Scale, up: Scale) -> Iterator[Shape]:
    yield from level_marks(up, [float(share) for share in SHARES], across.start, across.end, "%")
    yield Line(across.start, up.start, across.end, up.start, "axis")
    yield Line(across.start, up.start, across.end, up.end, "axis")
    for share in SHARES:
        yield Words(across.at(share), up.start + 17, f"{share} %", "label", "middle")
    middle = (across.start + across.end) / 2
    yield Words(middle, up.start + 35, "estimated range", "label", "middle")


def _key(left: float, top: float) -> Iterator[Shape]:
    yield Line(left, top, left + 34, top, "line-1")
    yield Dot(left + 17, top, 4, "fill-1")
    yield Words(left + 44, top + 4, "whole builds inside")
    yield Line(left, top + 24, left + 34, top + 24, "line-2")
    yield Words(left + 44, top + 28, "stages inside")
