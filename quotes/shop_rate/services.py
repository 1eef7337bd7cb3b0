"""Plan a year of the workshop, and use its rate."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from inventory.base.refusals import Refusal
from quotes.models import Overhead, PricingPolicy, YearPlan
from quotes.pricing.services import set_policy
from quotes.shop_rate.calc import work_out_rate
from quotes.shop_rate.queries import shop_year, year_of


@transaction.atomic
def plan_year(
    *,
    overheads: Sequence[tuple[str, Decimal]],
    weeks: Decimal,
    weekly_hours: Decimal,
    billable_share: Decimal,
    wanted_pay: Decimal,
    profit_margin: Decimal,
    rate_step: Decimal = Decimal(1),
) -> YearPlan:
    """Write the plan with exactly these overheads (name, yearly cost) and return it.

    Shares are fractions of 1. Raises Refusal on an overhead without a name and on figures that no
    rate can be worked out from: then nothing changes.
    """
    if any(not name.strip() for name, _ in overheads):
        raise Refusal("Give each overhead a name.", field="name")
    plan = YearPlan(
        pk=1,
        weeks=weeks,
        weekly_hours=weekly_hours,
        billable_share=billable_share,
        wanted_pay=wanted_pay,
        profit_margin=profit_margin,
        rate_step=rate_step,
    )
    rows = [
        Overhead(name=name.strip(), yearly=yearly, position=place)
        for place, (name, yearly) in enumerate(overheads)
    ]
    work_out_rate(year_of(plan, rows))
    plan.save()
    Overhead.objects.all().delete()
    Overhead.objects.bulk_create(rows)
    return plan


@transaction.atomic
def use_shop_rate() -> PricingPolicy:
    """Write the rate of the year plan into the policy and return it. Raises Refusal without one."""
    year = shop_year()
    if year is None:
        raise Refusal("Fill in your year first: overheads, weeks, hours and target pay.")
    return set_policy(shop_rate=work_out_rate(year).rate)
