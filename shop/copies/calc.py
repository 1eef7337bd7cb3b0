"""Which copies of the books to keep, and when one is overdue."""

from collections.abc import Iterable
from datetime import date, timedelta

DAYS, WEEKS, MONTHS = 7, 4, 12
OVERDUE_AFTER = timedelta(days=2)
"""A shop that is closed on Sunday has nothing new to copy on Monday morning."""


def days_to_keep(days: Iterable[date]) -> set[date]:
    """Return the days whose copies stay: 7 of the latest days, 4 of weeks, 12 of months.

    Of a week (ISO 8601) or a month its latest copy stands for it; the latest copy always stays.
    """
    latest_first = sorted(set(days), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in latest_first:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    return {
        *latest_first[:DAYS],
        *list(weeks.values())[:WEEKS],
        *list(months.values())[:MONTHS],
    }


def is_overdue(last: date | None, on: date) -> bool:
    """Say whether the last good copy is older than it should be, or there is none."""
    return last is None or on - last > OVERDUE_AFTER
