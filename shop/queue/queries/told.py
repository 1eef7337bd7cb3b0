"""What a client may be told of a build in the queue, without working the queue out."""

from dataclasses import dataclass
from datetime import date

from django.db.models import F, Q

from shop.models import OPEN_STATES, Build, QueueForecast
from shop.queue.queries.forecast import said_day
from shop.queue.queries.shop_now import settings_now


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A week in words and a place from 1 on; empty and None where the maker shows none."""

    week: str = ""
    place: int | None = None


def told_of(build: Build) -> Told:
    """Return what the maker lets the client of a build see. At most four queries.

    The week is that of the last forecast that was kept: whoever reads waits for no forecast.
    """
    settings = settings_now()
    if not build.is_open:
        return Told()
    return Told(
        week=_kept_week(build) if settings.client_sees_week else "",
        place=_place(build) if settings.client_sees_place else None,
    )


def _kept_week(build: Build) -> str:
    kept = QueueForecast.objects.first()
    row = kept and kept.builds.get(f"{build.pk}")
    return said_day(date.fromisoformat(row["days"][1]), by_week=True) if row else ""


def _place(build: Build) -> int:
    """Return one more than the builds before it: in the order of `queued_builds`."""
    later = Q(made_on__lt=build.made_on) | Q(made_on=build.made_on, pk__lt=build.pk)
    place = getattr(build, "queue_place", None)
    position = place.position if place else None
    rows = Build.objects.filter(state__in=OPEN_STATES).annotate(at=F("queue_place__position"))
    if position is None:
        before = rows.filter(Q(at__isnull=False) | later)
    else:
        before = rows.filter(Q(at__lt=position) | (Q(at=position) & later))
    return before.count() + 1
