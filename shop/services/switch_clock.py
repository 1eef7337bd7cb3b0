"""Switch the clock: stop what runs and start something else, in one act."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from shop.clocking import end_entry, running_of
from shop.models import TimeEntry
from shop.services.start_clock import start_clock
from shop.sharing import EQUAL, Work


@transaction.atomic
def switch_clock(
    *,
    person: Any,
    now: datetime,
    at: datetime | None = None,
    work: Sequence[Work] = (),
    split_by: str = EQUAL,
    is_billable: bool = True,
    is_remake: bool = False,
    reason: str = "",
    note: str = "",
    device_at: datetime | None = None,
    skew_seconds: int = 0,
) -> tuple[list[TimeEntry], TimeEntry]:
    """Return the entries of `person` that were stopped at `at` (else `now`) and the new one.

    A clock that was started after `at`, on another device, runs on. Raises Refusal as
    `start_clock` does, and then nothing is stopped.
    """
    at = at or now
    stopped = [entry for entry in running_of(person) if entry.started_at and entry.started_at <= at]
    for entry in stopped:
        end_entry(entry, at, device_at)
    started = start_clock(
        person=person,
        now=now,
        at=at,
        work=work,
        split_by=split_by,
        is_billable=is_billable,
        is_remake=is_remake,
        reason=reason,
        note=note,
        device_at=device_at,
        skew_seconds=skew_seconds,
    )
    return stopped, started
