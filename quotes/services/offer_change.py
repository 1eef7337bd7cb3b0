"""Offer a change to what was accepted, priced on its own."""

from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from inventory.refusals import Refusal
from quotes.locking import lock_quote
from quotes.models import Change, PricingPolicy, Quote
from quotes.queries.changes import asked_of_client, worked_out


@transaction.atomic
def offer_change(
    *,
    quote: Quote,
    title: str,
    on: date,
    price: Decimal | None = None,
    words: str = "",
    hours: Decimal = Decimal(0),
    cost: Decimal = Decimal(0),
    days_added: int = 0,
    is_paid_ahead: bool | None = None,
    is_billed: bool = True,
) -> Change:
    """Return the change; `price` is net in the quote's money, below 0 for something left out.

    Without a price it is worked out from `hours` and `cost` at the quote's own rates; whether it is
    paid ahead is the policy's, unless said.
    Raises Refusal before acceptance and without a title.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(f"{locked} is not accepted. Revise it instead of changing it.")
    if not title.strip():
        raise Refusal("Say in a few words what changes.", field="title")
    if price is None:
        price = asked_of_client(locked, worked_out(locked, hours, cost).amount)
    if is_paid_ahead is None:
        is_paid_ahead = PricingPolicy.objects.get_or_create(pk=1)[0].changes_paid_ahead
    changes = Change.objects.filter(commission=locked.commission_id)
    number = (changes.aggregate(last=Max("number"))["last"] or 0) + 1
    return Change.objects.create(
        commission_id=locked.commission_id,
        quote=locked,
        number=number,
        title=title.strip(),
        words=words,
        hours=hours,
        cost=cost,
        price=price,
        days_added=days_added,
        is_paid_ahead=is_paid_ahead,
        is_billed=is_billed,
        offered_on=on,
    )
