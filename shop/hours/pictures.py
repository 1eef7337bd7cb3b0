"""Where the hours of a year went: by what they went into, and month by month."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.base.calc.hours import h_mm
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

LINE = {WIDE: 28, NARROW: 46}
THICK = 14
NAMES = 365
KEY = (("fill-1", "billable"), ("fill-3", "can’t"))
HEAD = 26
FIGURES = {WIDE: 130, NARROW: 108}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursInto:
    """Hours that went into one thing, as a part of all."""

    name: str
    hours: float
    part: float
    billable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthHours:
    """Hours of one month, 1 to 12."""

    month: int
    billable: float
    other: float


def hours_into(rows: Sequence[HoursInto]) -> Picture:
    """Draw what the hours went into, the most first; what can't be billed in another tone."""
    return Picture(
        wide=_bars(rows, WIDE),
        narrow=_bars(rows, NARROW),
        says="; ".join(f"{row.name} {h_mm(row.hours)}" for row in rows),
        caption="Largest first, with the share of the year.",
    )


def hours_by_month(months: Sequence[MonthHours]) -> Picture:
    """Draw each month's hours, those that can be billed below and the others above them."""
    worked = [one for one in months if one.billable or one.other]
    return Picture(
        wide=_columns(months, WIDE),
        narrow=_columns(months, NARROW),
        says="; ".join(
            f"{MONTHS[one.month - 1]} {h_mm(one.billable)} billable of "
            f"{h_mm(one.billable + one.other)}"
            for one in worked
        ),
        caption="Hours per month.",
    )


def _bars(rows: Sequence[HoursInto], width: float) -> Drawing:
    line = LINE[int(width)]
    left = NAMES if width == WIDE else 0
    most = max((row.hours for row in rows), default=0) or 1
    scale = Scale(0, most, left, width - FIGURES[int(width)])
    top = 0 if all(row.billable for row in rows) else HEAD
    shapes: list[Shape] = [*swatches(KEY, left)] if top else []
    for place, row in enumerate(rows):
        shapes += _bar(row, scale, width, top + line * place)
    height = top + line * len(rows) + 6
    shapes.append(Line(left, top, left, height, "axis"))
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _bar(row: HoursInto, scale: Scale, width: float, top: float) -> Iterator[Shape]:
    y = top + (14 if width == WIDE else 32)
    if width == WIDE:
        yield Words(0, y + 4, fitted(row.name, NAMES - 20))
    else:
        yield Words(6, y - 13, fitted(row.name, width))
    look = "fill-1" if row.billable else "fill-3"
    words = f"{row.name}: {h_mm(row.hours)}"
    yield Bar(scale.start, y - THICK / 2, scale.at(row.hours) - scale.start, THICK, look, words)
    yield Words(width - 48, y + 4, h_mm(row.hours), "", "end")
    yield Words(width, y + 4, f"{row.part:.0%}".replace("%", " %"), "label", "end")


def _columns(months: Sequence[MonthHours], width: float) -> Drawing:
    height, left = (310.0, 60.0) if width == WIDE else (250.0, 46.0)
    bottom = height - 26
    most = max((one.billable + one.other for one in months), default=0) or 1
    up, marks = scale_to(most, bottom, HEAD + 12, 5)
    across = Scale(0.5, 12.5, left, width)
    shapes: list[Shape] = [*swatches(KEY, left), *level_marks(up, marks, left, width, "h")]
    for one in months:
        shapes += _column(one, across, up, (width - left) / 12 * 0.62)
    shapes.append(Line(left, bottom, width, bottom, "axis"))
    for month, name in enumerate(MONTHS, start=1):
        word = name if width == WIDE else name[0]
        shapes.append(Words(across.at(month), bottom + 18, word, "label", "middle"))
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _column(one: MonthHours, across: Scale, up: Scale, thick: float) -> Iterator[Shape]:
    x = across.at(one.month) - thick / 2
    floor, middle, top = (up.at(hours) for hours in (0, one.billable, one.billable + one.other))
    name = MONTHS[one.month - 1]
    if one.billable:
        words = f"{name}: {h_mm(one.billable)} billable"
        yield Bar(x, middle, thick, floor - middle, "fill-1", words)
    if one.other:
        words = f"{name}: {h_mm(one.other)} not billable"
        yield Bar(x, top, thick, middle - top, "fill-3", words)
