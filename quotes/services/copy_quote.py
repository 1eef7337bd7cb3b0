"""Copy a quote into a new draft: the last one of a pattern is the best start for the next."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.models import Workshop
from quotes.copying import copy_rows
from quotes.models import Client, Commission, PricingPolicy, Quote, QuoteExtra, QuoteMaterial
from quotes.queries.policy import moved_rate, policy_fields, rates_on, tax_fields

NOT_COPIED = frozenset(
    {
        "id", "number", "version", "state", "drafted_on", "issued_on", "valid_until", "ready_on",
        "held_until", "decided_at", "decided_by", "decline_reason", "frozen", "gross", "document",
        "document_sha256", "build",
    }
)  # fmt: skip
"""Fields of a quote that belong to the one that was sent."""


@transaction.atomic
def copy_quote(
    *, quote: Quote, on: date, commission: Commission | None = None, title: str = ""
) -> Quote:
    """Return a draft with the rows of `quote`, for another commission if one is given.

    Shop rate, markup, contingency, fees, price step and terms are today's policy; hours, lines,
    options and the client's money stay as quoted, unless it is for another client; tax
    rates that the shop has a name for are the day's. Chosen pieces are not copied.
    """
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    target = commission or quote.commission
    values = {
        field.name: getattr(quote, field.name)
        for field in Quote._meta.concrete_fields
        if field.name not in NOT_COPIED
    }
    values |= policy_fields(policy, target.client, has_failures=quote.failures.exists())
    values["prices_with_tax"] = quote.prices_with_tax
    before, now = rates_on(policy, quote.drafted_on), rates_on(policy, on)
    for name in ("tax_rate", "shipping_tax_rate"):
        values[name] = moved_rate(values[name], before, now)
    if target.client_id != quote.commission.client_id:
        values |= _money_of(target.client, quote, policy, on)
    values |= {"commission": target, "title": title or quote.title, "drafted_on": on}
    draft = Quote.objects.create(**values)
    copy_rows(quote, draft)
    draft.materials.update(lot=None)
    for rows in (draft.materials, draft.extras):
        _move_rates(rows.exclude(tax_rate=None), before, now)
    return draft


def _money_of(client: Client, quote: Quote, policy: PricingPolicy, on: date) -> dict[str, Any]:
    """Another client has a currency and a tax of their own; a rate is only kept for the same."""
    workshop = Workshop.objects.get()
    currency = client.currency or workshop.currency
    money: dict[str, Any] = tax_fields(policy, client, workshop, on)
    if currency != quote.currency:
        is_foreign = currency != workshop.currency
        money |= {
            "currency": currency,
            "exchange_rate": Decimal(1),
            "exchange_rate_on": None,
            "currency_buffer": policy.currency_buffer if is_foreign else Decimal(0),
            "client_step": Decimal(0),
        }
    return money


def _move_rates(
    rows: Iterable[QuoteMaterial | QuoteExtra], before: dict[str, Decimal], now: dict[str, Decimal]
) -> None:
    for row in rows:
        row.tax_rate = moved_rate(row.tax_rate, before, now)
        row.save(update_fields=["tax_rate"])
