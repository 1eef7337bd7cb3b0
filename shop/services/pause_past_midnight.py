"""Pause the clocks that ran into another day: marked unsure, never silently kept or lost."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.calc.repair import midnight_passed
from shop.clocking import end_entry
from shop.models import TimeEntry
from shop.queries.clock import run_past_midnight


@transaction.atomic
def pause_past_midnight(*, now: datetime) -> list[TimeEntry]:
    """End every clock started on an earlier day at its midnight, to be settled by its person."""
    paused = []
    for entry in run_past_midnight(now).select_for_update():
        midnight = entry.started_at and midnight_passed(timezone.localtime(entry.started_at), now)
        if midnight:
            end_entry(entry, midnight)
            paused.append(entry)
    return paused
