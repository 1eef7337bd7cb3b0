"""What the clock shows: who works on what, and where a forgotten stop may lie."""

from datetime import datetime, time
from typing import Any

from django.db.models import Max, QuerySet
from django.utils import timezone

from inventory.models import StockEntry
from shop.hours.calc.repair import OfferedEnd, offered_ends
from shop.models import BuildNote, TimeEntry, WorkingWeek

USUAL_END = time(17)


def running_entries(person: Any = None) -> QuerySet[TimeEntry]:
    """Return the clocks that run, the longest running first; of `person` or of everybody."""
    return _of(person).filter(seconds=None).order_by("started_at", "pk")


def run_past_midnight(now: datetime) -> QuerySet[TimeEntry]:
    """Return the clocks that still run and were started on a day before that of `now`."""
    return TimeEntry.objects.filter(seconds=None, day__lt=timezone.localtime(now).date())


def unsure_entries(person: Any = None) -> QuerySet[TimeEntry]:
    """Return the entries that midnight paused and nobody has settled, the latest first."""
    return _of(person).filter(is_unsure=True)


def day_end() -> time:
    """Return when the working day ends."""
    week = WorkingWeek.objects.first()
    return week.day_ends_at if week else USUAL_END


def last_recorded(person: Any, after: datetime, until: datetime) -> datetime | None:
    """Return when `person` last recorded anything, stock, note, photo or time, between the two."""
    stretch = (after, until)
    stock = StockEntry.objects.filter(recorded_by=person, happened_at__range=stretch)
    notes = BuildNote.objects.filter(made_by=person, made_at__range=stretch)
    own = TimeEntry.objects.filter(person=person)
    found = [
        stock.order_by().aggregate(at=Max("happened_at"))["at"],
        notes.order_by().aggregate(at=Max("made_at"))["at"],
        own.filter(started_at__range=stretch).order_by().aggregate(at=Max("started_at"))["at"],
        own.filter(raw_stopped_at__range=stretch)
        .order_by()
        .aggregate(at=Max("raw_stopped_at"))["at"],
    ]
    return max((at for at in found if at and after < at < until), default=None)


def ends_offered(entry: TimeEntry, now: datetime) -> list[OfferedEnd]:
    """Return the sensible ends of an entry that runs, or that midnight paused, at `now`."""
    if entry.started_at is None:
        return []
    until = entry.raw_stopped_at or now
    return offered_ends(
        started=timezone.localtime(entry.started_at),
        now=timezone.localtime(until),
        day_ends=day_end(),
        last_recorded=last_recorded(entry.person, entry.started_at, until),
    )


def in_full(entries: QuerySet[TimeEntry]) -> QuerySet[TimeEntry]:
    """Return `entries` with person, shares and corrections, in four queries."""
    return entries.select_related("person").prefetch_related(
        "shares__build", "shares__stage", "corrections"
    )


def _of(person: Any) -> QuerySet[TimeEntry]:
    rows = in_full(TimeEntry.objects.all())
    return rows.filter(person=person) if person else rows
