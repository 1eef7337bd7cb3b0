"""Pause the clocks that ran into another day: marked unsure, never silently kept or lost."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.calc.repair import midnight_passed
from shop.clocking import end_entry
from shop.models import TimeEntry


@transaction.atomic
def pause_past_midnight(*, now: datetime) -> list[TimeEntry]:
    """End every clock started on an earlier day at its midnight, to be settled by its person."""
    running = TimeEntry.objects.select_for_update().filter(seconds=None)
    paused = []
    for entry in running.filter(day__lt=timezone.localtime(now).date()):
        midnight = entry.started_at and midnight_passed(timezone.localtime(entry.started_at), now)
        if midnight:
            end_entry(entry, midnight)
            paused.append(entry)
    return paused
