"""The queue as lanes: work, waiting, the range of the end and the promised day of each build."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.base.calc.days import day_words
from shop.base.pictures.axes import Scale
from shop.base.pictures.shapes import (
    NARROW,
    WIDE,
    Area,
    Bar,
    Drawing,
    Line,
    Picture,
    Shape,
    Words,
    fitted,
    swatches,
)

HEAD, FOOT = 52, 8
THICK = 13
LANE = {WIDE: 34, NARROW: 50}
NAMES = 250
MARK = 6
FEWEST_DAYS = 56
MONTHS_APART = {WIDE: 56, NARROW: 84}
LABELLED = (1, 2, 3, 6, 12)
"""Every how many months one may be named, so that the names stand at even distances."""
KEY = (("fill-1", "work"), ("band", "waiting"), ("fill-3", "done between 50 and 90 %"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Work on one stage from `begins` to `ends`, then waiting until `free`; in days from today."""

    words: str
    begins: float
    ends: float
    free: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One build of the picture; `faint` is a quote that waits for a yes. says: the 80 % day."""

    name: str
    says: str
    spans: Sequence[Stretch]
    day_50: date
    day_80: date
    day_90: date
    promised: date | None = None
    faint: bool = False


def queue_picture(lanes: Sequence[Lane], on: date) -> Picture:
    """Draw every build from today to the day it is ready in 90 of 100 cases."""
    return Picture(
        wide=_drawing(lanes, on, WIDE),
        narrow=_drawing(lanes, on, NARROW),
        says="; ".join(_words(lane) for lane in lanes),
        caption=(
            "Solid: work at the bench. Pale: glue, coats, cure and rest. Bar below: from the day "
            "kept in 50 of 100 cases to that of 90. Upright stroke: 80. Diamond: promised."
            + (" Outlined: quotes without an answer." if any(one.faint for one in lanes) else "")
        ),
    )


def _drawing(lanes: Sequence[Lane], on: date, width: float) -> Drawing:
    last = max((lane.day_90 for lane in lanes), default=on)
    promised = [lane.promised for lane in lanes if lane.promised]
    reach = max((max([last, *promised]) - on).days + 7, FEWEST_DAYS)
    left = NAMES if width == WIDE else 4
    scale = Scale(0, reach, left, width - 10)
    lane_height = LANE[int(width)]
    height = HEAD + lane_height * len(lanes) + FOOT
    shapes: list[Shape] = [*swatches(KEY, 0 if width == NARROW else left)]
    shapes += _months(scale, on, reach, height, int(width))
    for place, lane in enumerate(lanes):
        shapes += _lane(lane, scale, on, width, HEAD + lane_height * place)
    shapes.append(Line(left, HEAD - 8, left, height - FOOT, "axis"))
    return Drawing(width=width, height=height, shapes=tuple(shapes))


def _months(scale: Scale, on: date, reach: int, height: float, width: int) -> Iterator[Shape]:
    shortest = scale.at(28) - scale.at(0)
    every = next(
        (every for every in LABELLED if every * shortest >= MONTHS_APART[width]), LABELLED[-1]
    )
    day = date(on.year, on.month, 1)
    while (day - on).days <= reach:
        day = (day.replace(day=28) + timedelta(days=4)).replace(day=1)
        if (day - on).days > reach:
            return
        x = scale.at((day - on).days)
        yield Line(x, HEAD - 8, x, height - FOOT, "grid")
        if (day.month - 1) % every == 0 and x <= width - MONTHS_APART[width] / 2:
            yield Words(x, HEAD - 14, f"{day:%b %Y}", "label", "middle")


def _lane(lane: Lane, scale: Scale, on: date, width: float, top: float) -> Iterator[Shape]:
    y = top + (14 if width == WIDE else 34)
    look = "label" if lane.faint else ""
    if width == WIDE:
        yield Words(0, y + 4, fitted(lane.name, NAMES - 16), look)
    else:
        yield Words(0, y - 15, fitted(lane.name, width), look)
    for span in lane.spans:
        yield from _span(span, scale, y, lane.faint)
    first, middle, last = (
        scale.at((day - on).days) for day in (lane.day_50, lane.day_80, lane.day_90)
    )
    said = f"{lane.name}: 50 % {lane.day_50}, 80 % {lane.day_80}, 90 % {lane.day_90}"
    yield Bar(first, y + THICK / 2 + 1, max(last - first, 2), 5, "fill-3", said)
    yield Line(middle, y - THICK / 2 - 2, middle, y + THICK / 2 + 8, "line-1")
    if lane.promised:
        x = scale.at((lane.promised - on).days)
        corners = ((x, y - MARK), (x + MARK, y), (x, y + MARK), (x - MARK, y))
        yield Area(corners, "fill-sheet cut")


def _span(span: Stretch, scale: Scale, y: float, faint: bool) -> Iterator[Shape]:
    begins, ends, free = (scale.at(day) for day in (span.begins, span.ends, span.free))
    words = span.words
    if free > ends + 0.5:
        yield Bar(ends, y - THICK / 2 + 3, free - ends, THICK - 6, "band", f"{words}, waits")
    yield Bar(
        begins,
        y - THICK / 2,
        max(ends - begins, 1),
        THICK,
        "fill-sheet" if faint else "fill-1",
        words,
    )


def _words(lane: Lane) -> str:
    words = f"{lane.name} ready {lane.says} in 80 of 100 cases"
    if lane.promised:
        words += f", promised for {day_words(lane.promised)}"
    return words
