"""Pictures over time, laid out in plain shapes for a template to set as SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

WIDTH, NARROW, HEIGHT = 640, 340, 240
LEFT, RIGHT, TOP, BOTTOM = 64, 16, 16, 34
DATE_ROOM = 116
"""Width that a day needs below the axis, so that its words stand apart from the next."""
MOST_DOTS = 60
"""Readings that have a dot of their own; the line goes through all."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on an axis: where it stands, and what it says."""

    at: float
    words: str


@dataclass(frozen=True, slots=True)
class ReadingDot:
    """One reading."""

    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePicture:
    """Readings over time. `band` is an upright strip from x to x, or None."""

    dots: tuple[ReadingDot, ...]
    line: str
    values: tuple[Mark, ...]
    days: tuple[Mark, ...]
    band: tuple[float, float] | None = None
    level: float | None = None
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    bottom: int = HEIGHT - BOTTOM


Readings = Sequence[tuple[date, Decimal]]


def time_picture(
    readings: Readings,
    *,
    unit: str,
    band: tuple[date, date] | None = None,
    level: Decimal | None = None,
    width: int = WIDTH,
) -> TimePicture | None:
    """Lay out `readings` (in `unit`), with a strip of days and a level line where asked.

    `width` is what it will have on the screen, so that words keep their size. None with fewer
    than two days to show.
    """
    days = [on for on, _ in readings] + list(band or ())
    if not readings or min(days) == max(days):
        return None
    values = [value for _, value in readings] + ([level] if level is not None else [])
    low, high = _reach(values)
    first, last = min(days), max(days)

    def x(on: date) -> float:
        return round(LEFT + (on - first).days / (last - first).days * (width - LEFT - RIGHT), 1)

    def y(value: Decimal) -> float:
        part = float((value - low) / (high - low))
        return round(HEIGHT - BOTTOM - part * (HEIGHT - TOP - BOTTOM), 1)

    dots = tuple(
        ReadingDot(x(on), y(value), f"{_day(on)}: {value.normalize():f} {unit}")
        for on, value in readings
    )
    return TimePicture(
        dots=_some(dots),
        line=" ".join(f"{dot.x},{dot.y}" for dot in dots),
        values=tuple(Mark(y(value), f"{value:f}") for value in _steps(low, high)),
        days=tuple(Mark(x(on), _day(on)) for on in _dates(first, last, width)),
        band=(x(band[0]), x(band[1])) if band else None,
        level=y(level) if level is not None else None,
        width=width,
        right=width - RIGHT,
    )


def time_pictures(readings: Readings, *, wide: int, **asked: Any) -> list[tuple[str, TimePicture]]:
    """Return the picture for a desk, `wide` px, and the one for a phone, each with its class."""
    widths = {"wide": wide, "narrow": NARROW}
    drawn = {name: time_picture(readings, width=width, **asked) for name, width in widths.items()}
    return [(name, picture) for name, picture in drawn.items() if picture]


def _some(dots: tuple[ReadingDot, ...]) -> tuple[ReadingDot, ...]:
    """Return dots evenly spread over the readings, the last among them."""
    every = -(-len(dots) // MOST_DOTS) or 1
    return dots[::-1][::every][::-1]


def _reach(values: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """Return round ends a little beyond the least and the most value."""
    low, high = min(values), max(values)
    step = _step(max(high - low, abs(high) / 1000, Decimal("0.01")))
    return (low // step) * step, (high // step + 1) * step


def _step(reach: Decimal) -> Decimal:
    """Return 1, 2 or 5 times a power of ten that goes about four times into `reach`."""
    power = Decimal(10) ** (reach / 4).adjusted()
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor * 4 >= reach)


def _steps(low: Decimal, high: Decimal) -> list[Decimal]:
    step = _step(high - low)
    return [(low + step * place).normalize() for place in range(int((high - low) / step) + 1)]


def _dates(first: date, last: date, width: int) -> list[date]:
    reach = (last - first).days
    count = min(max((width - LEFT - RIGHT) // DATE_ROOM + 1, 2), reach + 1)
    return [first + timedelta(days=round(reach * at / (count - 1))) for at in range(count)]


def _day(on: date) -> str:
    return f"{on.day} {on:%b %Y}"
