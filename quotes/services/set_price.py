"""Set the price of a draft by hand: the market price often beats the sum."""

from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from inventory.calc.money import round_money
from inventory.money import home_currency, home_unit
from inventory.refusals import Refusal
from quotes.calc.asked_price import ask_price, net_of_asked
from quotes.calc.basis import PriceBasis
from quotes.calc.pricing import build_price
from quotes.calc.tax import taxed_from_net
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteExtra
from quotes.queries.pricing import basis_of, costed_lines, policy_of, stages_on
from quotes.queries.taxing import tax_rate_of

NAME = "Price set by hand"
LAST_CENTS = "Last cents of the price set by hand"


@transaction.atomic
def set_price(*, quote: Quote, amount: Decimal, is_gross: bool = False) -> Quote:
    """Add the own line that brings the instrument to `amount` in home money, without shipping.

    With `is_gross` the amount has the tax in it: what the client pays is more by just that. An
    earlier line of this kind is replaced; a price that is no multiple of the step takes the step
    away. Raises NotADraft, and Refusal on a price that can't be.
    """
    draft = lock_draft(quote)
    if is_gross and draft.currency != home_currency():
        raise Refusal(f"Set the price net, in {home_currency()}; it is converted from there.")
    unit = home_unit()
    if amount <= 0 or amount % unit:
        raise Refusal("A price is above 0, in whole cents.", field="amount")
    draft.extras.filter(Q(name=NAME) | Q(kind=QuoteExtra.Kind.CENTS)).delete()
    basis = _basis_of(draft, unit)
    wanted = _net_of(draft, basis, amount, unit) if is_gross else amount
    stepped = wanted
    if draft.prices_with_tax:
        stepped = amount if is_gross else taxed_from_net(wanted, tax_rate_of(draft), unit).gross
    if draft.price_step and stepped % draft.price_step:
        draft.price_step = Decimal(0)
        draft.save(update_fields=["price_step"])
    asked = ask_price(basis, policy_of(draft), wanted, unit)
    _add(draft, NAME, QuoteExtra.Kind.OWN, asked.line, unit)
    if asked.last_cents:
        _add(draft, LAST_CENTS, QuoteExtra.Kind.CENTS, asked.last_cents, unit)
    return draft


def _basis_of(draft: Quote, unit: Decimal) -> PriceBasis:
    fresh = Quote.objects.get(pk=draft.pk)
    return basis_of(fresh, stages_on(fresh), costed_lines(fresh), fresh.extras.all(), unit)


def _net_of(draft: Quote, basis: PriceBasis, gross: Decimal, unit: Decimal) -> Decimal:
    policy = policy_of(draft)
    beside = build_price(basis, policy, unit).document.lines[1:]
    return net_of_asked(round_money(gross, unit), policy, beside, unit)


def _add(draft: Quote, name: str, kind: str, net: Decimal, unit: Decimal) -> None:
    cost = _as_typed(net, draft, unit)
    QuoteExtra.objects.create(quote=draft, name=name, kind=kind, cost=cost)


def _as_typed(net: Decimal, draft: Quote, unit: Decimal) -> Decimal:
    """An own line of a quote whose prices are typed with tax has it in it."""
    return taxed_from_net(net, tax_rate_of(draft), unit).gross if draft.prices_with_tax else net
