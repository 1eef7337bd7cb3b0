"""The set-up of a build: each measure before and after, day by day, beside what is aimed at."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from shop.builds.calc import CENTS, MEASURES, TARGETS, Target, thousandths
from shop.models import Build, Measure, SetUpReading

LAST_DAYS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpRow:
    """One measure: each day shown with its first and last value, and the last of all.

    Lengths in mm, or in thousandths of an inch where that was asked for; intonation in cents.
    """

    measure: str
    words: str
    target: Target | None
    days: tuple[tuple[date, tuple[Decimal, ...]], ...]
    last: Decimal | None

    @property
    def is_outside(self) -> bool:
        """Say whether the last value lies outside what is commonly aimed at."""
        return None not in (self.target, self.last) and not self.target.holds(self.last)  # type: ignore[union-attr,arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """All measures, the days shown (the first and the last few), and every reading."""

    rows: tuple[SetUpRow, ...]
    days: tuple[date, ...]
    readings: tuple[SetUpReading, ...]


def set_up_of(build: Build, *, kind: str = "", in_thousandths: bool = False) -> SetUp:
    """Return the set-up of `build` beside the targets of a `kind` of instrument, in one query."""
    readings = tuple(build.readings.select_related("taken_by"))
    found: dict[tuple[str, date], list[Decimal]] = defaultdict(list)
    for reading in readings:
        value = _shown(reading.measure, reading.value, in_thousandths)
        found[reading.measure, _day(reading)].append(value)
    all_days = sorted({day for _, day in found})
    days = tuple(sorted({*all_days[:1], *all_days[-LAST_DAYS:]}))
    rows = [
        _row(measure, found, days, TARGETS.get(kind, {}).get(measure), in_thousandths)
        for measure in MEASURES
    ]
    return SetUp(rows=tuple(rows), days=days, readings=readings)


def _row(
    measure: str,
    found: dict[tuple[str, date], list[Decimal]],
    days: tuple[date, ...],
    target: Target | None,
    in_thousandths: bool,
) -> SetUpRow:
    own = {day: values for (key, day), values in found.items() if key == measure}
    if target and in_thousandths and measure not in CENTS:
        target = Target(_rounded(thousandths(target.low)), _rounded(thousandths(target.high)))
    return SetUpRow(
        measure=measure,
        words=str(Measure(measure).label),
        target=target,
        days=tuple((day, _first_and_last(own.get(day, []))) for day in days),
        last=own[max(own)][-1] if own else None,
    )


def _first_and_last(values: list[Decimal]) -> tuple[Decimal, ...]:
    return tuple(dict.fromkeys([*values[:1], *values[-1:]]))


def _shown(measure: str, value: Decimal, in_thousandths: bool) -> Decimal:
    if in_thousandths and measure not in CENTS:
        return _rounded(thousandths(value))
    return value


def _rounded(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.1"))


def _day(reading: SetUpReading) -> date:
    return timezone.localtime(reading.taken_at).date()
