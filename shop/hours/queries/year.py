"""Where the hours of a year went."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Max, Min, QuerySet, Sum

from shop.hours.calc.durations import billable_share, minutes_of
from shop.models import TimeEntry, TimeShare

NO_PATTERN = "Builds without a template"
NO_STAGE = "No stage"
NO_BUILD = "Not for a build"


@dataclass(frozen=True, slots=True, kw_only=True)
class Into:
    """Minutes that went into one thing, as a part of all that was worked."""

    name: str
    minutes: Decimal
    part: Decimal
    billable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """Minutes of one month, 1 to 12."""

    month: int
    minutes: Decimal
    billable_minutes: Decimal

    @property
    def share(self) -> Decimal | None:
        return billable_share(int(self.billable_minutes * 60), int(self.minutes * 60))


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRecord:
    """What was worked in a year, in minutes.

    into: patterns, and reasons that can't be billed, the most first; they add up to the whole.
    stages: time that can be billed by the names of stages, the most first. from_sheets: minutes
    read from old sheets, put down on the day their build was finished. first, last: years on
    record, 0 when there is none.
    """

    year: int
    minutes: Decimal
    billable_minutes: Decimal
    into: tuple[Into, ...]
    stages: tuple[Into, ...]
    months: tuple[Month, ...]
    from_sheets: Decimal
    first: int
    last: int

    @property
    def share(self) -> Decimal | None:
        return billable_share(int(self.billable_minutes * 60), int(self.minutes * 60))


def year_record(year: int) -> YearRecord:
    """Add up a year's time by month, pattern, reason and stage, in four queries."""
    entries = TimeEntry.objects.filter(day__year=year, seconds__gt=0).order_by()
    shares = TimeShare.objects.filter(
        entry__day__year=year, entry__is_billable=True, entry__seconds__gt=0
    ).order_by()
    monthly = entries.values_list("day__month", "is_billable", "source", "reason")
    rows = list(monthly.annotate(total=Sum("seconds")))
    whole = sum(row[-1] for row in rows)
    billable = sum(row[-1] for row in rows if row[1])
    days = TimeEntry.objects.order_by().aggregate(first=Min("day"), last=Max("day"))
    return YearRecord(
        year=year,
        minutes=minutes_of(whole),
        billable_minutes=minutes_of(billable),
        into=_into(_patterns(shares, billable), _reasons(rows), whole),
        stages=_into(_sums(shares, "stage__name", NO_STAGE), {}, whole),
        months=tuple(_months(rows)),
        from_sheets=minutes_of(sum(row[-1] for row in rows if row[2] == TimeEntry.Source.SHEET)),
        first=days["first"].year if days["first"] else 0,
        last=days["last"].year if days["last"] else 0,
    )


def _patterns(shares: QuerySet[TimeShare], billable: int) -> dict[str, int]:
    found = _sums(shares, "build__template__name", NO_PATTERN)
    if left := billable - sum(found.values()):
        found[NO_BUILD] = left
    return found


def _sums(shares: QuerySet[TimeShare], field: str, otherwise: str) -> dict[str, int]:
    sums = shares.values_list(field).annotate(total=Sum("seconds"))
    return {name or otherwise: total for name, total in sums if total}


def _reasons(rows: Iterable[Any]) -> dict[str, int]:
    found: dict[str, int] = defaultdict(int)
    for _, is_billable, _, reason, seconds in rows:
        if not is_billable:
            found[reason] += seconds
    return found


def _into(billable: dict[str, int], other: dict[str, int], whole: int) -> tuple[Into, ...]:
    rows = [(name, seconds, True) for name, seconds in billable.items()]
    rows += [(name or "no reason", seconds, False) for name, seconds in other.items()]
    return tuple(
        Into(
            name=name,
            minutes=minutes_of(seconds),
            part=Decimal(seconds) / Decimal(whole),
            billable=is_billable,
        )
        for name, seconds, is_billable in sorted(rows, key=lambda row: (-row[1], row[0]))
    )


def _months(rows: Iterable[Any]) -> Iterable[Month]:
    worked: dict[int, int] = defaultdict(int)
    billable: dict[int, int] = defaultdict(int)
    for month, is_billable, _, _, seconds in rows:
        worked[month] += seconds
        billable[month] += seconds if is_billable else 0
    for month in range(1, 13):
        yield Month(
            month=month,
            minutes=minutes_of(worked[month]),
            billable_minutes=minutes_of(billable[month]),
        )
