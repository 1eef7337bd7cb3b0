"""Add a tax rate with the first day it holds."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.refusals import Refusal
from quotes.models import DatedTaxRate


@transaction.atomic
def add_tax_rate(*, since: date, rate: Decimal, name: str = DatedTaxRate.STANDARD) -> DatedTaxRate:
    """Return the rate; it reaches quotes that are drafted or revised from that day on.

    Raises Refusal on a rate outside 0 to 1, without a name, or for a day that has one.
    """
    name = name.strip().lower()
    if not name:
        raise Refusal("Give the rate a name, such as standard or reduced.", field="name")
    if not 0 <= rate < 1:
        raise Refusal("A tax rate is at least 0 % and below 100 %.", field="rate")
    if DatedTaxRate.objects.filter(name=name, since=since).exists():
        raise Refusal(
            f"The {name} rate from that day is set already. Remove it first.", field="since"
        )
    return DatedTaxRate.objects.create(name=name, since=since, rate=rate)
