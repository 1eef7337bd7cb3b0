"""The workshop's year as the maker planned it."""

from decimal import Decimal

from quotes.calc.checks import HUNDRED
from quotes.calc.shoprate import Overhead as PlannedOverhead
from quotes.calc.shoprate import ShopYear, work_out_rate
from quotes.models import Overhead, YearPlan


def shop_year() -> ShopYear | None:
    """Return the year plan with its overheads; None until the maker has made one."""
    plan = YearPlan.objects.first()
    if plan is None:
        return None
    return ShopYear(
        overheads=tuple(
            PlannedOverhead(name=row.name, yearly=row.yearly) for row in Overhead.objects.all()
        ),
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
