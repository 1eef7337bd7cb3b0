"""Catch up on hours by one typed line, such as `yesterday, 2.5 h, binding, both`."""

from datetime import date, datetime
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction

from inventory.refusals import Refusal
from shop.calc.catchup import parse_catch_up
from shop.models import TimeEntry
from shop.queries.catchup import bench_words, work_meant
from shop.services.log_hours import log_hours


@transaction.atomic
def catch_up_hours(
    *, person: Any, line: str, on: date, now: datetime, device_at: datetime | None = None
) -> TimeEntry:
    """Return the entry that `line`, typed on the day `on`, describes; of `person` unless it says.

    Raises Refusal with what was not understood or is missing.
    """
    try:
        caught = parse_catch_up(line, bench_words(), today=on)
    except ValueError as error:
        raise Refusal(str(error), field="line") from None
    if caught.person:
        person = get_user_model().objects.get(pk=caught.person)
    return log_hours(
        person=person,
        day=caught.day,
        minutes=caught.minutes,
        work=work_meant(caught),
        is_billable=caught.reason is None,
        reason=caught.reason or "",
        is_remake=caught.is_remake,
        now=now,
        device_at=device_at,
    )
