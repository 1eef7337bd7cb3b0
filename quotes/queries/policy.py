"""What the shop's policy puts into a quote for one client."""

from decimal import Decimal
from typing import Any

from inventory.models import Workshop
from quotes.models import Client, PricingPolicy, Quote


def policy_fields(policy: PricingPolicy, client: Client) -> dict[str, Any]:
    """Return the fields of a quote that are the shop's habit, as they are today."""
    is_dealer = client.kind == Client.Kind.DEALER
    return {
        "shop_rate": policy.shop_rate,
        "material_markup": policy.material_markup,
        "contingency": policy.contingency,
        "fee_percent": policy.fee_percent,
        "fee_fixed": policy.fee_fixed,
        "dealer_discount": policy.dealer_discount if is_dealer else Decimal(0),
        "price_step": policy.price_step,
        "valid_days": policy.valid_days,
        "terms": policy.terms,
    }


def tax_fields(policy: PricingPolicy, client: Client, workshop: Workshop) -> dict[str, Any]:
    """Return how a client's quote is taxed unless the maker says otherwise.

    A proposal by country only: what really applies is for the accountant to say.
    """
    if not workshop.tax_registered:
        return {"tax_kind": Quote.TaxKind.OUTSIDE, "tax_rate": Decimal(0)}
    if client.country and client.country != workshop.country:
        return {"tax_kind": Quote.TaxKind.EXPORT, "tax_rate": Decimal(0)}
    if not policy.tax_rate:
        return {"tax_kind": Quote.TaxKind.ZERO, "tax_rate": Decimal(0)}
    return {"tax_kind": Quote.TaxKind.STANDARD, "tax_rate": policy.tax_rate}
