"""Set the shop's pricing policy: it reaches quotes drafted from now on, no earlier one."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.calc.official_numbers import check_account_number, check_bank_code
from inventory.models import Family, Workshop
from inventory.refusals import Refusal
from quotes.calc.offer import read_parts
from quotes.calc.parts import payment_parts
from quotes.models import FamilyMarkup, PricingPolicy


@transaction.atomic
def set_policy(
    *, markups: Mapping[Family, Decimal | None] | None = None, **fields: Any
) -> PricingPolicy:
    """Return the policy with `fields` written; a family's markup of None is the common one.

    Raises Refusal on parts that don't add up to 100, and on a mistyped account number or bank code.
    """
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    for name, value in fields.items():
        setattr(policy, name, value)
    payment_parts(Decimal(100), read_parts(policy.parts))
    if policy.shop_rate < 0 or policy.price_step < 0:
        raise Refusal("The shop rate and the price step are 0 or more.", field="shop_rate")
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
