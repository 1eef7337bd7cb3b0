"""Several instruments in one order: added to a draft, put in order, taken out and put back."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.base.refusals import Refusal
from quotes.base.locking import check_draft, check_stands_alone, lock_commissions, lock_draft
from quotes.models import Quote
from quotes.quoting.bookkeeping import ONCE, into_order
from quotes.quoting.services.draft import copy_instrument, draft_quote
from quotes.quoting.services.edit import edit_quote, forget_set_price
from shop.models import BuildTemplate


@transaction.atomic
def add_instrument(
    *,
    quote: Quote,
    on: date,
    template: BuildTemplate | None = None,
    title: str = "",
    is_same: bool = False,
    batch_saving: Decimal = Decimal(0),
) -> Quote:
    """Return a further instrument of a draft: from a template, or with `is_same` as the first one.

    That one is priced as the first is, but for a price set by hand: that was for the first alone.
    batch_saving: share of its hours, from 0 to below 1, that making it beside the first one saves.
    Raises NotADraft, and Refusal for work charged by time and materials.
    """
    order = lock_draft(quote)
    _check_can_be_several(order)
    if is_same:
        one = copy_instrument(quote=order, on=on, title=title or order.title)
        for name in PRICED_BY:
            setattr(one, name, getattr(order, name))
        forget_set_price(draft=one)
    else:
        one = draft_quote(
            commission=order.commission,
            on=on,
            template=template,
            title=title or (str(template) if template else ""),
        )
    into_order(order, one)
    return edit_quote(quote=one, batch_saving=batch_saving, offered=[])


PRICED_BY = ("material_markup", "contingency", "contingency_by", "price_step")
"""Fields that each instrument has for itself, and one made as the first takes over as edited."""


def _check_can_be_several(order: Quote) -> None:
    check_stands_alone(order)
    if order.is_time_and_materials:
        raise Refusal(
            f"{order.title} is charged by time and materials, and an order of several instruments "
            "has a fixed price. Draft a quote of its own."
        )


@transaction.atomic
def join_order(*, quote: Quote, one: Quote) -> Quote:
    """Make `one`, a draft of the same commission, a further instrument of the draft `quote`.

    One that was taken out of an order comes back to its place. Shipping and fees are the order's.
    """
    locked = lock_commissions({quote.commission_id, one.commission_id})
    order, joining = locked[quote.pk], locked[one.pk]
    for each in (order, joining):
        check_draft(each)
        _check_can_be_several(each)
    if joining.commission_id != order.commission_id or joining.pk == order.pk:
        raise Refusal(f"{joining.title} is not another draft of this commission.")
    if joining.number:
        raise Refusal(f"{joining} was sent by itself before, and stays a quote of its own.")
    if joining.further.exists():
        raise Refusal(f"{joining.title} has further instruments of its own. Take them out first.")
    into_order(order, joining)
    return joining


@transaction.atomic
def leave_order(*, one: Quote) -> Quote:
    """Take a further instrument out of a draft: it is a draft by itself again, with all its rows.

    Raises NotADraft, and Refusal for what is no further instrument.
    """
    leaving = lock_draft(one)
    order = leaving.part_of
    if order is None:
        raise Refusal(f"{leaving.title} is not part of an order of several instruments.")
    leaving.part_of = None
    for name in ONCE:
        setattr(leaving, name, getattr(order, name))
    leaving.save(update_fields=["part_of", *ONCE])
    return leaving


@transaction.atomic
def order_instruments(*, quote: Quote, keys: Sequence[int]) -> Quote:
    """Put the further instruments of a draft into the order of `keys`, each named once."""
    order = lock_draft(quote)
    further = {one.pk: one for one in order.further.all()}
    if sorted(keys) != sorted(further):
        raise Refusal("Name each further instrument of the quote once.", field="keys")
    for place, key in enumerate(keys, start=1):
        further[key].place = place
    Quote.objects.bulk_update(further.values(), ["place"])
    return order
