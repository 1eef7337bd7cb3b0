"""Use the worked-out rate: it becomes the shop rate of the pricing policy."""

from django.db import transaction

from inventory.refusals import Refusal
from quotes.calc.shoprate import work_out_rate
from quotes.models import PricingPolicy
from quotes.queries.shop_year import shop_year
from quotes.services.set_policy import set_policy


@transaction.atomic
def use_shop_rate() -> PricingPolicy:
    """Write the rate of the year plan into the policy and return it. Raises Refusal without one."""
    year = shop_year()
    if year is None:
        raise Refusal("Plan a year first: overheads, weeks, hours and the pay you want.")
    return set_policy(shop_rate=work_out_rate(year).rate)
