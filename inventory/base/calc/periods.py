"""Years and quarters as days."""

from datetime import date

QUARTER_MONTHS = {quarter: (3 * quarter - 2, 3 * quarter) for quarter in (1, 2, 3, 4)}
"""The first and the last month of each quarter."""


def days_of(year: int, quarter: int | None = None) -> tuple[date, date]:
    """Return the first day of a year or of one of its quarters, and the first day after it.

    `year` is at most 9998: the day after must be one of the calendar.
    """
    first, last = QUARTER_MONTHS[quarter] if quarter else (1, 12)
    after = date(year + 1, 1, 1) if last == 12 else date(year, last + 1, 1)
    return date(year, first, 1), after
