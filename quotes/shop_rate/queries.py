"""The workshop's year as the maker planned it, and the hours that were really recorded."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Q, Sum

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import HUNDRED
from quotes.models import Overhead, YearPlan
from quotes.shop_rate.calc import OverheadCost, ShopYear, builds_a_year, work_out_rate
from shop.models import BuildTemplate, TimeEntry

A_YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedShare:
    """The billable share of the hours recorded in the year up to a day, in percent."""

    percent: Decimal
    hours: Decimal
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """How many builds of one template the billable hours of a year hold."""

    template: BuildTemplate
    hours: Decimal
    builds: Decimal


def shop_year() -> ShopYear | None:
    """Return the year plan with its overheads; None until the maker has made one."""
    plan = YearPlan.objects.first()
    return year_of(plan, Overhead.objects.all()) if plan else None


def year_of(plan: YearPlan, overheads: Iterable[Overhead]) -> ShopYear:
    """Return a plan and its overheads as plain data. Raises Refusal on figures that can't be."""
    return ShopYear(
        overheads=tuple(OverheadCost(name=row.name, yearly=row.yearly) for row in overheads),
        weeks=plan.weeks,
        weekly_hours=plan.weekly_hours,
        billable_percent=plan.billable_share * HUNDRED,
        wanted_pay=plan.wanted_pay,
        margin_percent=plan.profit_margin * HUNDRED,
        rate_step=plan.rate_step,
    )


def overhead_per_hour() -> Decimal:
    """Return the overhead that each billable hour carries, 0 while no year is planned."""
    year = shop_year()
    return work_out_rate(year).overhead_per_hour if year else Decimal(0)


def recorded_share(on: date) -> RecordedShare | None:
    """Return what part of the hours of the last year was billable; None while none are recorded.

    Only hours that were kept as they were worked count: builds read from old sheets hold no
    hours that can't be billed.
    """
    since = on - A_YEAR
    entries = TimeEntry.objects.filter(day__gt=since, day__lte=on, seconds__gt=0)
    sums = entries.exclude(source=TimeEntry.Source.SHEET).aggregate(
        all=Sum("seconds"), billable=Sum("seconds", filter=Q(is_billable=True))
    )
    if not sums["all"]:
        return None
    return RecordedShare(
        percent=round_money(Decimal(sums["billable"] or 0) * HUNDRED / sums["all"], Decimal("0.1")),
        hours=round_money(Decimal(sums["all"]) / 3600, Decimal("0.1")),
        since=since + timedelta(days=1),
    )


def capacities(billable_hours: Decimal) -> list[Capacity]:
    """Say of each template in use how many a year's billable hours hold, at its likely hours."""
    is_on = Q(stages__option=None) | Q(stages__option__is_on=True)
    templates = BuildTemplate.objects.filter(is_archived=False).annotate(
        likely=Sum("stages__hours_likely", filter=is_on)
    )
    return [
        Capacity(
            template=template,
            hours=template.likely,
            builds=round_money(builds_a_year(billable_hours, template.likely), Decimal("0.1")),
        )
        for template in templates
        if template.likely
    ]
