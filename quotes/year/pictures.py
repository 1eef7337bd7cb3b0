"""A year of the books: money by month, and what each template brought."""

from collections.abc import Iterator, Sequence

from quotes.year.calc.year import GroupRow, MonthRow
from shop.base.pictures.axes import Scale, level_marks, scale_to
from shop.base.pictures.shapes import (
    NARROW,
    WIDE,
    Bar,
    Drawing,
    Line,
    Picture,
    Shape,
    Words,
    fitted,
    swatches,
)
from shop.hours.pictures import MONTHS

KEY = (("fill-3", "invoiced, net"), ("fill-1", "received, gross"))
HEAD = 40
HEIGHT = {WIDE: 300.0, NARROW: 250.0}
LEFT = {WIDE: 70.0, NARROW: 56.0}
LINE = {WIDE: 28, NARROW: 46}
NAMES = 330
THICK = 14
FIGURES = 100


def money_by_month(months: Sequence[MonthRow]) -> Picture:
    """Draw what was invoiced and what came in, month by month; a month below 0 shows nothing."""
    return Picture(
        wide=_columns(months, WIDE),
        narrow=_columns(months, NARROW),
        says="; ".join(
            f"{MONTHS[row.month - 1]} {row.invoiced:,.2f} invoiced net, "
            f"{row.received:,.2f} received gross"
            for row in months
            if row.invoiced or row.received
        ),
        caption="Each month: invoiced net by date of invoice, received gross by date of payment.",
    )


def net_by_group(rows: Sequence[GroupRow]) -> Picture:
    """Draw the net of accepted quotes of each group, the most first."""
    return Picture(
        wide=_bars(rows, WIDE),
        narrow=_bars(rows, NARROW),
        says="; ".join(f"{row.name} {row.net:,.2f}" for row in rows),
        caption="Net price of the quotes accepted in the year, highest first.",
    )


def _columns(months: Sequence[MonthRow], width: float) -> Drawing:
    left, height = LEFT[int(width)], HEIGHT[int(width)]
    bottom = height - 26
    most = max((float(max(row.invoiced, row.received)) for row in months), default=0)
    up, marks = scale_to(max(most, 0), bottom, HEAD, 5)
    across = Scale(0.5, 12.5, left, width)
    shapes: list[Shape] = [*swatches(KEY, left), *level_marks(up, marks, left, width, "")]
    thick = (width - left) / 12 * 0.36
    for row in months:
        shapes += _pair(row, across, up, thick)
    shapes.append(Line(left, bottom, width, bottom, "axis"))
    for month, name in enumerate(MONTHS, start=1):
        word = name if width == WIDE else name[0]
        shapes.append(Words(across.at(month), bottom + 18, word, "label", "middle"))
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _pair(row: MonthRow, across: Scale, up: Scale, thick: float) -> Iterator[Shape]:
    x, floor, name = across.at(row.month), up.at(0), MONTHS[row.month - 1]
    for left, amount, look, what in (
        (x - thick, row.invoiced, "fill-3", "invoiced, net"),
        (x, row.received, "fill-1", "received, gross"),
    ):
        if amount > 0:
            top = up.at(float(amount))
            yield Bar(left, top, thick, floor - top, look, f"{name}: {amount:,.2f} {what}")


def _bars(rows: Sequence[GroupRow], width: float) -> Drawing:
    line, left = LINE[int(width)], NAMES if width == WIDE else 0
    most = max((float(row.net) for row in rows), default=0) or 1
    scale = Scale(0, most, left, width - FIGURES)
    shapes: list[Shape] = []
    for place, row in enumerate(rows):
        y = line * place + (14 if width == WIDE else 32)
        words_y = y + 4 if width == WIDE else y - 13
        shapes.append(Words(0, words_y, fitted(row.name, (left or width) - 20)))
        length = scale.at(float(row.net)) - scale.start
        shapes.append(Bar(left, y - THICK / 2, length, THICK, "fill-2", f"{row.net:,.2f}"))
        shapes.append(Words(width, y + 4, f"{row.net:,.2f}", "", "end"))
    height = line * len(rows) + 6
    shapes.append(Line(left, 0, left, height, "axis"))
    return Drawing(width=width, height=height, shapes=tuple(shapes))
