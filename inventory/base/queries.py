"""Home money, sums by currency, the age of a price, days as instants: what every room asks."""

from collections.abc import Collection
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from dateutil.relativedelta import relativedelta
from django.db.models import Aggregate, Count, QuerySet, Sum
from django.db.models.functions import ExtractYear
from django.utils import timezone

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.units import from_base
from inventory.models import Material, StockRules, Workshop


def home_currency() -> str:
    """Return the workshop's currency (ISO 4217); the model's default before the first run."""
    code = Workshop.objects.values_list("currency", flat=True).first()
    return code or str(Workshop._meta.get_field("currency").default)


def home_minor_unit() -> Decimal:
    """Return the smallest amount of home money, such as 0.01."""
    return minor_unit_of(home_currency())


def replacement_cost(material: Material, quantity: Decimal) -> Decimal:
    """Return what `quantity` base units cost at the replacement price; 0 when it isn't known."""
    price = material.replacement_price or Decimal(0)
    return round_money(price * from_base(quantity, material.unit), home_minor_unit())


FRESH_FOR = relativedelta(months=6)


def oldest_fresh_day(today: date) -> date:
    """Return the day six months before `today`; a price checked earlier is old."""
    oldest: date = today - FRESH_FOR
    return oldest


def price_is_old(checked_on: date | None, today: date) -> bool:
    """Say whether a price checked on that day, or never, has to be asked again."""
    return checked_on is None or checked_on < oldest_fresh_day(today)


def years_of(rows: QuerySet[Any], day: str) -> list[int]:
    """Return the years of the rows by their field `day`, the latest first. One query."""
    years = rows.order_by().annotate(year=ExtractYear(day)).values_list("year", flat=True)
    return sorted(set(years), reverse=True)


def sums_by_currency(
    rows: QuerySet[Any], names: Collection[str], **more: Aggregate
) -> list[dict[str, Any]]:
    """Add rows up, currency by currency, in one query: `currency`, `count`, `names` and `more`."""
    sums: Any = {f"sum_{name}": Sum(name) for name in names} | more
    added = rows.order_by("currency").values("currency").annotate(count=Count("pk"), **sums)
    return [
        {name.removeprefix("sum_"): Decimal(0) if one is None else one for name, one in row.items()}
        for row in added
    ]


def begin_of(on: date) -> datetime:
    """Return the first instant of a day in the shop's time zone."""
    return timezone.make_aware(datetime.combine(on, time.min))


def end_of(on: date) -> datetime:
    """Return the last instant of a day in the shop's time zone."""
    return timezone.make_aware(datetime.combine(on, time.max))


def end_of_past_day(on: date | None, *, today: date) -> datetime | None:
    """Return the last instant of a day other than today; today is not over, no day means now."""
    return None if on is None or on == today else end_of(on)


def stock_rules() -> StockRules:
    """The shop's own rules, or the defaults."""
    return StockRules.objects.first() or StockRules(pk=1)
