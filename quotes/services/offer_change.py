"""Offer a change to what was accepted: priced on its own, frozen and printed once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max

from inventory.calc.money import minor_unit, round_money
from inventory.models import Material
from inventory.refusals import Refusal
from quotes.freezing import freeze_change
from quotes.keeping import all_or_nothing
from quotes.locking import lock_quote
from quotes.models import Change, ChangeMaterial, LineTax, PricingPolicy, Quote
from quotes.queries.changes import asked_of_client, cost_of_more, worked_out
from quotes.queries.taxing import own_rate_of
from shop.models import BuildStage


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialAsked:
    """How much of a material of the shop a change takes, in the material's base unit."""

    material: Material
    quantity: Decimal


@all_or_nothing()
def offer_change(
    *,
    quote: Quote,
    title: str,
    on: date,
    price: Decimal | None = None,
    words: str = "",
    hours: Decimal = Decimal(0),
    cost: Decimal = Decimal(0),
    materials: Sequence[MaterialAsked] = (),
    before: BuildStage | None = None,
    tax_kind: str = LineTax.WITH_IT,
    tax_rate: Decimal | None = None,
    days_added: int = 0,
    is_paid_ahead: bool | None = None,
    is_billed: bool = True,
) -> Change:
    """Return the change; `price` is net in the quote's money, below 0 for something left out.

    `materials` are put aside once it is agreed, and `hours` become a stage, `before` another of the
    build or last. Without a price it is worked out from hours, `cost` and materials at replacement,
    at the quote's own rates; half up to the minor unit. Whether it is paid ahead is the policy's,
    unless said; it is taxed as the instrument unless `tax_kind` says otherwise. Raises Refusal
    before acceptance, without a title, and where kind and rate of the tax disagree.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(f"{locked} is not accepted. Revise it instead of changing it.")
    if not title.strip():
        raise Refusal("Say in a few words what changes.", field="title")
    if before is not None and before.build_id != locked.build_id:
        raise Refusal("That stage belongs to another build.", field="before")
    rows = [_row(one, locked) for one in materials]
    cost += sum((row.cost for row in rows), Decimal(0))
    if price is None:
        price = asked_of_client(locked, worked_out(locked, hours, cost).amount)
    if is_paid_ahead is None:
        is_paid_ahead = PricingPolicy.objects.get_or_create(pk=1)[0].changes_paid_ahead
    change = Change(
        commission_id=locked.commission_id,
        quote=locked,
        number=_next_number(locked),
        title=title.strip(),
        words=words,
        hours=hours,
        cost=cost,
        price=round_money(price, minor_unit(locked.currency)),
        before=before,
        tax_kind=tax_kind,
        tax_rate=tax_rate,
        days_added=days_added,
        is_paid_ahead=is_paid_ahead,
        is_billed=is_billed,
        offered_on=on,
    )
    own_rate_of(change)
    freeze_change(change)
    change.save()
    for row in rows:
        row.change = change
    ChangeMaterial.objects.bulk_create(rows)
    return change


def _next_number(quote: Quote) -> int:
    changes = Change.objects.filter(commission=quote.commission_id)
    return (changes.aggregate(last=Max("number"))["last"] or 0) + 1


def _row(asked: MaterialAsked, quote: Quote) -> ChangeMaterial:
    if asked.quantity <= 0:
        raise Refusal(f"How much of {asked.material}? More than 0.", field="materials")
    cost = cost_of_more(asked.material, asked.quantity, quote)
    return ChangeMaterial(material=asked.material, quantity=asked.quantity, cost=cost)
