"""Calendar days of the shop as instants."""

from datetime import date, datetime, time

from django.utils import timezone


def begin_of(on: date) -> datetime:
    """Return the first instant of a day in the shop's time zone."""
    return timezone.make_aware(datetime.combine(on, time.min))


def end_of(on: date) -> datetime:
    """Return the last instant of a day in the shop's time zone."""
    return timezone.make_aware(datetime.combine(on, time.max))


def end_of_past_day(on: date | None, *, today: date) -> datetime | None:
    """Return the last instant of a day other than today; today is not over, no day means now."""
    return None if on is None or on == today else end_of(on)
