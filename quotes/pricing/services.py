"""The pricing policy and the tax rates, set by the owner."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.base.calc.official_numbers import check_account_number, check_bank_code
from inventory.base.refusals import Refusal
from inventory.models import Family, Workshop
from quotes.base.calc.checks import NOT_NEGATIVE, check_not_negative
from quotes.models import DatedTaxRate, FamilyMarkup, PricingPolicy
from quotes.pricing.calc.offer import read_parts
from quotes.pricing.calc.parts import payment_parts


@transaction.atomic
def set_policy(
    *, markups: Mapping[Family, Decimal | None] | None = None, **fields: Any
) -> PricingPolicy:
    """Return the policy with `fields` written; a family's markup of None is the common one.

    Raises Refusal on a figure below 0, on parts that don't add up to 100, and on a mistyped account
    number or bank code.
    """
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    for name, value in fields.items():
        setattr(policy, name, value)
    payment_parts(Decimal(100), read_parts(policy.parts))
    check_not_negative({name: getattr(policy, name) for name in {*fields} & NOT_NEGATIVE})
    if policy.iban and "iban" in fields:
        check_account_number(policy.iban, Workshop.objects.values_list("country", flat=True).get())
    if policy.bic and "bic" in fields:
        check_bank_code(policy.bic)
    policy.full_clean()
    policy.save()
    for family, markup in (markups or {}).items():
        if markup is None:
            FamilyMarkup.objects.filter(family=family).delete()
        else:
            FamilyMarkup.objects.update_or_create(family=family, defaults={"markup": markup})
    return policy


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
            f"There is already a {name} rate from that day. Delete it first.", field="since"
        )
    return DatedTaxRate.objects.create(name=name, since=since, rate=rate)


@transaction.atomic
def remove_tax_rate(*, rate: DatedTaxRate) -> None:
    """Delete one dated rate; quotes and invoices keep what they were given."""
    rate.delete()
