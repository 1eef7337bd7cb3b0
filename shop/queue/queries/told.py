"""What a client may be told of a build in the queue, without working the queue out."""

from dataclasses import dataclass
from datetime import date, timedelta

from shop.models import Build, QueueForecast
from shop.queue.queries.books import place_of
from shop.queue.queries.forecast import said_day
from shop.queue.queries.shop_now import settings_now

GOOD_FOR = timedelta(days=7)
"""So long a forecast that was kept is told to clients; an older one may have moved since."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A week in words, the day on which it was forecast, and a place from 1 on.

    Empty and None where the maker shows none, or there is none to tell.
    """

    week: str = ""
    as_of: date | None = None
    place: int | None = None


def told_of(build: Build, on: date) -> Told:
    """Return what the maker lets the client of a build see on the day `on`. At most three queries.

    The week is that of the last forecast that was kept: whoever reads waits for no forecast.
    """
    settings = settings_now()
    if not build.is_open:
        return Told()
    kept = _kept(build, on) if settings.client_sees_week else None
    safe, as_of = kept or (None, None)
    return Told(
        week=said_day(safe, by_week=True) if safe else "",
        as_of=as_of,
        place=place_of(build) if settings.client_sees_place else None,
    )


def _kept(build: Build, on: date) -> tuple[date, date] | None:
    """Return the safe day, and the day of its forecast; None if its week or the forecast is old."""
    kept = QueueForecast.objects.filter(on__gte=on - GOOD_FOR).first()
    row = kept and kept.builds.get(f"{build.pk}")
    if not kept or not row:
        return None
    safe = date.fromisoformat(row["days"][1])
    monday = on - timedelta(days=on.weekday())
    return (safe, kept.on) if safe >= monday else None
