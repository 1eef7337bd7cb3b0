"""What the shop's policy puts into a quote for one client."""

from datetime import date
from decimal import Decimal
from typing import Any

from inventory.models import Workshop
from quotes.models import Client, ContingencyBy, DatedTaxRate, PricingPolicy, Quote
from quotes.pricing.calc.union_supply import in_the_same_union


def policy_fields(policy: PricingPolicy, client: Client, *, has_failures: bool) -> dict[str, Any]:
    """Return the fields of a quote that are the shop's habit, as they are today.

    A contingency from what may go wrong needs that to be said; otherwise it is of labour.
    """
    is_registered = Workshop.objects.values_list("tax_registered", flat=True).get()
    is_dealer = client.kind == Client.Kind.DEALER
    return {
        "shop_rate": policy.shop_rate,
        "material_markup": policy.material_markup,
        "contingency": policy.contingency,
        "contingency_by": policy.contingency_by if has_failures else ContingencyBy.LABOUR,
        "fee_percent": policy.fee_percent,
        "fee_fixed": policy.fee_fixed,
        "dealer_discount": policy.dealer_discount if is_dealer else Decimal(0),
        "price_step": policy.price_step,
        "prices_with_tax": policy.prices_with_tax,
        "bought_tax_rate": Decimal(0) if is_registered else policy.bought_tax_rate,
        "valid_days": policy.valid_days,
        "terms": policy.terms,
    }


def tax_fields(
    policy: PricingPolicy, client: Client, workshop: Workshop, on: date
) -> dict[str, Any]:
    """Return how a client's quote is taxed on the day, unless the maker says otherwise.

    A proposal by country only, and in another member state the tax of home: what really applies
    is for the accountant to say.
    """
    if not workshop.tax_registered:
        return {"tax_kind": Quote.TaxKind.OUTSIDE, "tax_rate": Decimal(0)}
    is_abroad = client.country and client.country != workshop.country
    if is_abroad and not in_the_same_union(workshop.country, client.country):
        return {"tax_kind": Quote.TaxKind.EXPORT, "tax_rate": Decimal(0)}
    rate = standard_rate(policy, on)
    if not rate:
        return {"tax_kind": Quote.TaxKind.ZERO, "tax_rate": Decimal(0)}
    return {"tax_kind": Quote.TaxKind.STANDARD, "tax_rate": rate}


def standard_rate(policy: PricingPolicy, on: date) -> Decimal:
    """Return the standard rate of the day: of the dated rates, or the policy's own before them."""
    return rates_on(policy, on)[DatedTaxRate.STANDARD]


def rates_on(policy: PricingPolicy, on: date) -> dict[str, Decimal]:
    """Return the shop's tax rates on the day by their names. One query."""
    rates = {DatedTaxRate.STANDARD: policy.tax_rate}
    for dated in DatedTaxRate.objects.filter(since__lte=on).order_by("since"):
        rates[dated.name] = dated.rate
    return rates


def moved_rate(
    rate: Decimal | None, before: dict[str, Decimal], now: dict[str, Decimal]
) -> Decimal | None:
    """Return what a rate became: the new one of its name; one that has no name stays."""
    return next((now[name] for name, old in before.items() if old == rate), rate) if rate else rate
