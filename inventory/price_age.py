"""How long a replacement price may be trusted."""

from datetime import date

FRESH_MONTHS = 6


def oldest_fresh_day(today: date) -> date:
    """Return the day six months before `today`; a price checked earlier is old."""
    months = today.year * 12 + today.month - 1 - FRESH_MONTHS
    year, month = divmod(months, 12)
    for day in range(today.day, 27, -1):
        try:
            return date(year, month + 1, day)
        except ValueError:
            continue
    return date(year, month + 1, min(today.day, 27))


def price_is_old(checked_on: date | None, today: date) -> bool:
    """Say whether a price checked on that day, or never, has to be asked again."""
    return checked_on is None or checked_on < oldest_fresh_day(today)
