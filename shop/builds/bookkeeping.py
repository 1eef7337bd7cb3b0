"""The promised date of a build: the one place that sets it, and keeps each day on record."""

from datetime import date, datetime

from shop.models import Build, PromisedDay


def book_promise(
    *, build: Build, day: date, now: datetime, reason: str = "", told_how: str = ""
) -> PromisedDay:
    """Promise a day for a build whose row the caller holds, and keep it with its reason.

    What the queue says of the day is added by the queue, which knows all builds.
    """
    build.promised_on = day
    build.save(update_fields=["promised_on"])
    return PromisedDay.objects.create(
        build=build,
        day=day,
        reason=" ".join(reason.split()),
        told_how=" ".join(told_how.split()),
        made_at=now,
    )
