"""When a replacement price is too old to trust."""

from datetime import date

import pytest

from inventory.base.queries import oldest_fresh_day, price_is_old


@pytest.mark.parametrize(
    ("today", "oldest"),
    [
        (date(2027, 3, 9), date(2026, 9, 9)),
        (date(2027, 8, 31), date(2027, 2, 28)),
        (date(2028, 8, 31), date(2028, 2, 29)),
        (date(2027, 6, 30), date(2026, 12, 30)),
        (date(2027, 1, 1), date(2026, 7, 1)),
    ],
    ids=["plain", "short month", "leap year", "over new year", "first of the year"],
)
def test_six_months_are_counted_by_the_calendar(today, oldest):
    assert oldest_fresh_day(today) == oldest
    assert not price_is_old(oldest, today)
    assert price_is_old(date.fromordinal(oldest.toordinal() - 1), today)


def test_a_price_never_checked_is_old():
    assert price_is_old(None, date(2027, 3, 9))
