"""What the shop is today: hands, things there is a number of, and what all builds share."""

import math
from collections import defaultdict
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from django.db.models import Sum

from inventory.models import Workshop
from shop.calendar.queries import open_days
from shop.estimates.calc.assumptions import SHOP_DOUBT
from shop.models import OtherHands, QueueSettings, ShopThing, TimeShare
from shop.queue.calc.records import Shop

if TYPE_CHECKING:
    from shop.queue.calc.draws import ShopGuess

CALENDAR_DAYS = 3 * 365
BENCH_PLACE = "place on the bench"

USUAL_SHARE, USUAL_WEEKS, LEARNING_WEEKS = 0.9, 6, 12
"""Share of bench hours for builds until the clock tells, worth so many weeks of it (common
practice, no source); and how many weeks back the clock is read."""


def shop_now(on: date) -> Shop:
    """Return hands and things: the working week and others' weeks, days off taken out."""
    days = open_days(on)
    settings = settings_now()
    dates = [on + timedelta(days=number) for number in range(CALENDAR_DAYS)]
    closed = set(days.closed)
    if settings.public_holidays:
        closed |= public_holidays(dates[0].year, dates[-1].year)
    weeks = [[float(minutes) for minutes in days.week]]
    weeks += [[float(each) * 60 for each in other.hours] for other in OtherHands.objects.all()]
    hands = [[0.0 if day in closed else week[day.weekday()] for day in dates] for week in weeks]
    things = {thing.name: thing.count for thing in ShopThing.objects.all()}
    most = settings.most_under_way
    if most:
        things[BENCH_PLACE] = most
    return Shop(hands=hands, things=things)


def public_holidays(first: int, last: int) -> set[date]:
    """Return the public holidays of the workshop's country in years; none where it is not said."""
    country = Workshop.objects.values_list("country", flat=True).first() or ""
    return _holidays_of(country, first, last) if country else set()


@cache
def _holidays_of(country: str, first: int, last: int) -> set[date]:
    import holidays

    if country not in holidays.list_supported_countries():
        return set()
    return set(holidays.country_holidays(country, years=range(first, last + 1)))


def settings_now() -> QueueSettings:
    """Return what the queue takes for granted in this workshop."""
    return QueueSettings.objects.first() or QueueSettings(pk=1)


def shared_doubts(on: date) -> "ShopGuess":
    """Return what all builds share; the share of hours is learned from the clock unless given."""
    from shop.queue.calc.draws import ShopGuess

    settings = settings_now()
    weeks = _weekly_shares(on)
    share = (USUAL_SHARE * USUAL_WEEKS + sum(weeks)) / (USUAL_WEEKS + len(weeks))
    if settings.build_share is not None:
        share = float(settings.build_share)
    return ShopGuess(
        doubt=SHOP_DOUBT,
        share=min(max(share, 0.05), 1.0),
        share_doubt=0.2 / math.sqrt(USUAL_WEEKS + len(weeks)),
        lost=float(settings.lost_share),
    )


def _weekly_shares(on: date) -> list[float]:
    """Return of each full week with clocked work the part of its open hours that builds got."""
    monday = on - timedelta(days=on.weekday())
    first = monday - timedelta(weeks=LEARNING_WEEKS)
    rows = (
        TimeShare.objects.filter(entry__day__gte=first, entry__day__lt=monday)
        .order_by()
        .values_list("entry__day")
        .annotate(seconds=Sum("seconds"))
    )
    worked: dict[date, float] = defaultdict(float)
    for day, seconds in rows:
        worked[day - timedelta(days=day.weekday())] += seconds / 60
    if not worked:
        return []
    days = open_days(first)
    found = []
    for week, minutes in worked.items():
        there = sum(days.minutes_on(week + timedelta(days=number)) for number in range(7))
        if there:
            found.append(min(minutes / there, 1.0))
    return found
