"""Set the price of a draft by hand: the market price often beats the sum."""

from decimal import Decimal

from django.db import transaction

from inventory.money import home_currency, home_unit
from inventory.refusals import Refusal
from quotes.calc.tax import taxed_from_gross, taxed_from_net
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteExtra
from quotes.queries.pricing import price_sheet
from quotes.queries.taxing import tax_rate_of

NAME = "Price set by hand"
MOST_TRIES = 12
"""Fees and rush are charged on the own line too, so that it is found by a few steps."""


@transaction.atomic
def set_price(*, quote: Quote, amount: Decimal, is_gross: bool = False) -> Quote:
    """Add the own line that brings the instrument to `amount` in home money, without shipping.

    With `is_gross` the amount has the tax in it. An earlier line of this kind is replaced; a price
    that is no multiple of the step takes the step away. Raises NotADraft, and Refusal on a price
    that can't be reached.
    """
    draft = lock_draft(quote)
    if is_gross and draft.currency != home_currency():
        raise Refusal(f"Set the price net, in {home_currency()}; it is converted from there.")
    unit = home_unit()
    rate = tax_rate_of(draft)
    wanted = taxed_from_gross(amount, rate, unit).net if is_gross else amount
    if wanted <= 0 or wanted % unit:
        raise Refusal("A price is above 0, in whole cents.", field="amount")
    draft.extras.filter(name=NAME).delete()
    stepped = taxed_from_net(wanted, rate, unit).gross if draft.prices_with_tax else wanted
    if draft.price_step and stepped % draft.price_step:
        draft.price_step = Decimal(0)
        draft.save(update_fields=["price_step"])
    line = QuoteExtra.objects.create(quote=draft, name=NAME, cost=Decimal(0))
    for _ in range(MOST_TRIES):
        sheet = price_sheet(Quote.objects.get(pk=draft.pk))
        if sheet.price == wanted:
            return draft
        line.cost += _as_typed(wanted - sheet.subtotal, draft, unit)
        line.save(update_fields=["cost"])
    raise Refusal(
        f"{wanted} can't be reached to the cent with this fee. Try a cent more or less.",
        field="amount",
    )


def _as_typed(net: Decimal, draft: Quote, unit: Decimal) -> Decimal:
    """An own line of a quote whose prices are typed with tax has it in it."""
    return taxed_from_net(net, tax_rate_of(draft), unit).gross if draft.prices_with_tax else net
