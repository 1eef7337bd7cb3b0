"""The queue worked out anew, moved, blocked, promised from, and given to a calendar."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from secrets import token_urlsafe

from django.db import transaction
from django.utils import timezone

from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from shop.builds.bookkeeping import book_promise
from shop.models import Build, CalendarLink, PromisedDay, QueueForecast, QueuePlace
from shop.queue.calc.secret import hash_secret
from shop.queue.queries.books import queued_builds
from shop.queue.queries.forecast import QueueAnswer, as_rows, queue_on

SECRET_BYTES = 32
CHANCE_WITHIN = timedelta(days=2)


def refresh_queue(*, now: datetime) -> QueueAnswer:
    """Return what the queue says today, and keep it for those who ask tomorrow what changed.

    Raises Refusal for what can't be laid out.
    """
    on = timezone.localtime(now).date()
    answer = queue_on(on)
    if not QueueForecast.objects.filter(on=on, stamp=answer.stamp).exists():
        QueueForecast.objects.update_or_create(
            on=on,
            defaults={
                "stamp": answer.stamp,
                "made_at": now,
                "builds": as_rows(answer.forecasts),
            },
        )
    add_chances(answer=answer, now=now)
    return answer


@transaction.atomic
def move_build(*, build: Build, place: int) -> None:
    """Put a build on the place in the queue, counted from 1; the others close up.

    Raises Refusal when the build is not open or there is no such place.
    """
    keys = [one.pk for one in _locked_builds()]
    if build.pk not in keys:
        raise Refusal(f"{build.serial} is not in the queue: it is {build.get_state_display()}.")
    if not 1 <= place <= len(keys):
        raise Refusal(f"The queue has places 1 to {len(keys)}. Choose one of them.", field="place")
    keys.remove(build.pk)
    keys.insert(place - 1, build.pk)
    _write_order(keys)


@transaction.atomic
def order_queue(*, builds: Sequence[int]) -> None:
    """Put the open builds in the order of their keys; those not named keep theirs at the end.

    Raises Refusal when a build is named twice or is not in the queue.
    """
    keys = [one.pk for one in _locked_builds()]
    if len(set(builds)) < len(builds):
        raise Refusal("A build is named twice in this order. Name each of them once.")
    unknown = set(builds) - set(keys)
    if unknown:
        raise Refusal(
            "This order names a build that is no longer in the queue. Load the page again."
        )
    _write_order([*builds, *(key for key in keys if key not in builds)])


@transaction.atomic
def block_build(*, build: Build, not_before: date | None, waits_for: str = "") -> QueuePlace:
    """Record the first day on which a build can go on, and what it waits for; None takes it off.

    Raises Refusal when the build is not open.
    """
    if not build.is_open:
        raise Refusal(f"{build.serial} is not in the queue: it is {build.get_state_display()}.")
    place, _ = QueuePlace.objects.update_or_create(
        build=build,
        defaults={
            "not_before": not_before,
            "waits_for": " ".join(waits_for.split()) if not_before else "",
        },
    )
    return place


def promise_day(
    *, build: Build, day: date, now: datetime, reason: str = "", told_how: str = ""
) -> PromisedDay:
    """Promise a day for a build and keep what the queue says of it now.

    Raises Refusal when the build is not open, when the day is past, and when another day stands and
    it isn't said how the client was told: a promise never moves silently.
    """
    if not build.is_open:
        raise Refusal(f"{build.serial} is not in the queue: it is {build.get_state_display()}.")
    if day < timezone.localtime(now).date():
        raise Refusal("That day is past. Promise a day to come.", field="day")
    if build.promised_on and build.promised_on != day and not told_how.strip():
        raise Refusal(
            f"{day_words(build.promised_on)} is promised. Enter how the client "
            "was told of another day.",
            field="told_how",
        )
    answer = refresh_queue(now=now)
    with transaction.atomic():
        locked = Build.objects.select_for_update(of=("self",)).get(pk=build.pk)
        promise = book_promise(build=locked, day=day, now=now, reason=reason, told_how=told_how)
        return _with_chance(promise, answer)


def add_chances(*, answer: QueueAnswer, now: datetime) -> int:
    """Add what the queue says to promises of the last days that were made without it; their number.

    A quote that is accepted at the client's page has no time to wait for the queue. A promise that
    is older keeps no chance, since today's would not be the one of its day.
    """
    fresh = PromisedDay.objects.filter(stamp="", made_at__gte=now - CHANCE_WITHIN)
    rows = list(fresh.select_related("build"))
    for promise in rows:
        _with_chance(promise, answer)
    return len(rows)


def _with_chance(promise: PromisedDay, answer: QueueAnswer) -> PromisedDay:
    forecast = answer.of(promise.build)
    chance = forecast.chance_of(promise.day) if forecast else None
    promise.chance = None if chance is None else Decimal(chance).quantize(Decimal("0.001"))
    promise.forecast_50 = forecast.day_50 if forecast else None
    promise.forecast_80 = forecast.day_80 if forecast else None
    promise.stamp = answer.stamp
    promise.save(update_fields=["chance", "forecast_50", "forecast_80", "stamp"])
    return promise


@transaction.atomic
def make_calendar_link(*, now: datetime) -> str:
    """Return the secret of a new calendar address; the one before it no longer opens."""
    CalendarLink.objects.filter(revoked_at=None).update(revoked_at=now)
    secret = token_urlsafe(SECRET_BYTES)
    CalendarLink.objects.create(secret_sha256=hash_secret(secret), made_at=now)
    return secret


@transaction.atomic
def revoke_calendar_link(*, now: datetime) -> None:
    """Close the calendar address."""
    CalendarLink.objects.filter(revoked_at=None).update(revoked_at=now)


def _locked_builds() -> list[Build]:
    """Lock the builds of the queue in key order, and return them in the order of the queue."""
    builds = queued_builds()
    list(Build.objects.select_for_update().filter(pk__in=[one.pk for one in builds]).order_by("pk"))
    return builds


def _write_order(keys: Sequence[int]) -> None:
    for position, key in enumerate(keys, start=1):
        QueuePlace.objects.update_or_create(build_id=key, defaults={"position": position})
