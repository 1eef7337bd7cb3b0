"""Hours and minutes are written in one way."""

from decimal import Decimal

import pytest

from inventory.base.calc.hours import format_minutes, h_mm


@pytest.mark.parametrize(
    ("minutes", "written"),
    [
        (465, "7:45 h"),
        (0, "0:00 h"),
        (5, "0:05 h"),
        (Decimal("160.5"), "2:41 h"),
        (-90, "−1:30 h"),
        (Decimal("-0.4"), "0:00 h"),
        (6000, "100:00 h"),
    ],
)
def test_minutes_are_written_as_hours(minutes, written):
    assert format_minutes(minutes) == written


@pytest.mark.parametrize(
    ("hours", "step", "written"),
    [
        (Decimal("7.75"), 1, "7:45 h"),
        (41.3176, 1, "41:19 h"),
        (41.3176, 6, "41:18 h"),
        (0.05, 6, "0:06 h"),
        (0.049, 6, "0:00 h"),
    ],
)
def test_hours_are_written_to_a_step(hours, step, written):
    assert h_mm(hours, step) == written
