"""Log hours from one typed line, such as “yesterday, 2.5 h, binding, both”."""

from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.refusals import Refusal
from shop.calc.catchup import parse_catch_up
from shop.models import Build, TimeEntry
from shop.queries.bench import bench_words, work_on
from shop.services.log_hours import log_hours
from shop.sharing import EQUAL


@transaction.atomic
def log_line(
    *, line: str, user: Any, now: datetime, split_by: str = EQUAL, note: str = ""
) -> TimeEntry:
    """Return the entry that `line` describes, for `user` unless it names somebody else.

    Raises Refusal with a sentence that says what was not understood or is missing.
    """
    today = timezone.localtime(now).date()
    try:
        meant = parse_catch_up(line, bench_words(), today=today)
    except ValueError as error:
        raise Refusal(str(error), field="line") from None
    found = Build.objects.in_bulk([int(key) for key in meant.builds])
    builds = [found[int(key)] for key in meant.builds]
    return log_hours(
        person=User.objects.get(pk=meant.person) if meant.person else user,
        day=meant.day,
        minutes=meant.minutes,
        work=work_on(builds, meant.stage or ""),
        split_by=split_by,
        is_billable=meant.reason is None,
        reason=meant.reason or "",
        note=note,
        now=now,
    )
