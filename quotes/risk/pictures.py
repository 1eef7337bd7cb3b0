"""The chances at each price: of earning less than the pay wanted, and less than nothing."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from quotes.risk.calc import ChancePoint
from shop.base.pictures.axes import Scale, level_marks, round_step
from shop.base.pictures.shapes import NARROW, WIDE, Curve, Drawing, Line, Picture, Shape, Words

TOP, BOTTOM = 30, 40
LEFT = 52
HEIGHT = {WIDE: 300, NARROW: 250}
MARKS = {WIDE: 10, NARROW: 4}
CHANCES = [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]


def risk_picture(curve: Sequence[ChancePoint], price: Decimal, quoted: Decimal) -> Picture:
    """Draw both chances over the price, with strokes at the price asked and at the quoted one."""
    at = min(curve, key=lambda point: abs(point.price - price))
    return Picture(
        wide=_drawing(curve, float(price), float(quoted), WIDE),
        narrow=_drawing(curve, float(price), float(quoted), NARROW),
        says=(
            f"At {price:,.2f} the chance of earning less than target pay is about "
            f"{at.below_wanted} %."
        ),
        caption=(
            "Solid line: chance of earning less than target pay. Broken line: chance of losing "
            "money. Vertical line: this price; dotted: the quoted price."
        ),
    )


def _drawing(curve: Sequence[ChancePoint], price: float, quoted: float, width: float) -> Drawing:
    height = HEIGHT[int(width)]
    bottom = height - BOTTOM
    across = Scale(float(curve[0].price), float(curve[-1].price), LEFT, width - 12)
    up = Scale(0, 100, bottom, TOP)
    wanted = tuple((across.at(float(p.price)), up.at(float(p.below_wanted))) for p in curve)
    nothing = tuple((across.at(float(p.price)), up.at(float(p.below_nothing))) for p in curve)
    shapes: list[Shape] = [
        *level_marks(up, CHANCES, LEFT, width - 12, "%"),
        *_prices(across, bottom, MARKS[int(width)]),
        Curve(wanted, "line-1"),
        Curve(nothing, "line-2"),
        Line(across.at(quoted), TOP, across.at(quoted), bottom, "line-3"),
        Line(across.at(price), TOP - 6, across.at(price), bottom, "line-1"),
        Words(across.at(price), TOP - 12, f"{price:,.0f}", "", "middle"),
    ]
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _prices(across: Scale, bottom: float, marks: int) -> Iterator[Shape]:
    step = round_step(across.high - across.low, marks)
    yield Line(across.start, bottom, across.end, bottom, "axis")
    value = -(-across.low // step) * step
    while value <= across.high:
        yield Words(across.at(value), bottom + 17, f"{value:,.0f}", "label", "middle")
        value += step
    middle = (across.start + across.end) / 2
    yield Words(middle, bottom + 35, "price, net, without shipping", "label", "middle")
