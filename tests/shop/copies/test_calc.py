"""Which copies stay: 7 days, 4 weeks, 12 months."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.copies.calc import days_to_keep, is_overdue

LAST = date(2027, 3, 17)
EVERY_DAY = [LAST - timedelta(days=ago) for ago in range(800)]


def test_of_two_years_of_days_nineteen_stay():
    kept = sorted(days_to_keep(EVERY_DAY), reverse=True)
    assert kept[:7] == EVERY_DAY[:7]
    assert date(2027, 3, 7) in kept  # the Sunday before the last
    assert [day for day in kept if day < date(2027, 2, 20)][:2] == [
        date(2027, 1, 31),
        date(2026, 12, 31),
    ]
    assert min(kept) == date(2026, 4, 30)
    assert len(kept) == 19


@given(st.sets(st.dates(date(2020, 1, 1), date(2030, 1, 1)), min_size=1))
def test_the_last_copy_stays_and_thinning_again_takes_nothing(days):
    kept = days_to_keep(days)
    assert max(days) in kept
    assert days_to_keep(kept) == kept
    assert len(kept) <= 7 + 4 + 12


AGO = {"today": 0, "before a closed day": 2, "older": 3}


@pytest.mark.parametrize(("ago", "overdue"), [(0, False), (2, False), (3, True)], ids=AGO)
def test_a_copy_is_overdue_after_two_days(ago, overdue):
    assert is_overdue(LAST - timedelta(days=ago), LAST) is overdue


def test_without_any_copy_one_is_overdue():
    assert is_overdue(None, LAST)
