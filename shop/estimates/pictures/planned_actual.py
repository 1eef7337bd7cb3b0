"""Quoted against actual hours of one build, stage by stage."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.base.calc.hours import h_mm
from shop.base.pictures.axes import Scale, scale_to, upright_marks
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

HEAD, FOOT = 52, 6
THICK, TICK = 12, 10
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePair:
    """Hours of one stage: as quoted, 0 when it was not, and as they were."""

    name: str
    quoted: float
    actual: float


@dataclass(frozen=True, slots=True)
class _PlannedActualSheet:
    width: float
    row: float
    middle: float
    left: float
    right: float
    marks: int


KEY = (("fill-3", "within the quote"), ("fill-1", "over the quote"))
ON_DESK = _PlannedActualSheet(width=WIDE, row=26, middle=13, left=365, right=WIDE - 80, marks=8)
ON_PHONE = _PlannedActualSheet(width=NARROW, row=44, middle=29, left=8, right=NARROW - 68, marks=5)


def planned_actual(pairs: Sequence[StagePair]) -> Picture:
    """Draw the actual hours of each stage as a bar, darker past the quoted figure's stroke."""
    quoted, actual = (sum(getattr(one, name) for one in pairs) for name in ("quoted", "actual"))
    return Picture(
        wide=_drawing(pairs, ON_DESK),
        narrow=_drawing(pairs, ON_PHONE),
        says=f"{h_mm(quoted)} quoted, {h_mm(actual)} worked, by stage.",
        caption=(
            "Bar: hours worked, in another shade where they exceed the quote. Upright line: "
            "hours quoted. At the end of the row: the difference."
        ),
    )


def _drawing(pairs: Sequence[StagePair], sheet: _PlannedActualSheet) -> Drawing:
    furthest = max((max(one.quoted, one.actual) for one in pairs), default=0) or 1
    scale, marks = scale_to(furthest, sheet.left, sheet.right, sheet.marks)
    height = HEAD + sheet.row * len(pairs) + FOOT
    shapes: list[Shape] = [*swatches(KEY, sheet.left if sheet is ON_DESK else 0)]
    shapes += upright_marks(scale, marks, HEAD, height - FOOT, "h")
    for place, pair in enumerate(pairs):
        shapes += _row(pair, scale, sheet, HEAD + sheet.row * place)
    return Drawing(width=sheet.width, height=height, shapes=tuple(shapes))


def _row(pair: StagePair, scale: Scale, sheet: _PlannedActualSheet, top: float) -> Iterator[Shape]:
    y = top + sheet.middle
    if sheet is ON_DESK:
        yield Words(0, y + 4, fitted(pair.name, sheet.left - 20))
    else:
        yield Words(0, y - 16, fitted(pair.name, sheet.width))
    words = f"{pair.name}: {h_mm(pair.actual)} worked, {h_mm(pair.quoted)} quoted"
    start, within = scale.at(0), scale.at(min(pair.actual, pair.quoted))
    end = scale.at(pair.actual)
    yield Bar(start, y - THICK / 2, within - start, THICK, "fill-3", words)
    if end > within:
        yield Bar(within, y - THICK / 2, end - within, THICK, "fill-1", words)
    if pair.quoted:
        x = scale.at(pair.quoted)
        yield Line(x, y - TICK, x, y + TICK, "line-1")
    yield Words(sheet.width, y + 4, difference(pair.actual - pair.quoted), "", "end")


def difference(hours: float) -> str:
    """Write more or less than quoted: +1:30 h, −0:30 h, as quoted 0:00 h."""
    size = h_mm(abs(hours))
    if size == h_mm(0):
        return size
    return f"+{size}" if hours > 0 else f"{MINUS}{size}"
