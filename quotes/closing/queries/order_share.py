"""The share that one instrument has in the money of its order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import in_home_money, minor_unit_of, share_out
from inventory.base.queries import home_minor_unit
from quotes.closing.calc.sheet import MoneyIn
from quotes.models import Change, Quote
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import offer_of


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderShare:
    """An order and the place of one instrument in it.

    `offer` is the order's, `own` that of the instrument. `weights` are the net price of each
    instrument with the billed changes agreed to it, in home money; shipping goes with the first
    one, which bears its cost. `unit` is the smallest amount of home money.
    """

    order: Quote
    offer: Offer
    own: Offer
    changes: Sequence[Change]
    weights: Sequence[Decimal]
    place: int
    unit: Decimal

    def of(self, amount: Decimal, unit: Decimal | None = None) -> Decimal:
        """Return this instrument's part of an amount; the parts of all come to the amount.

        `unit` is the smallest amount of its currency, without one that of home money. Where no
        instrument has a price the first one has it all.
        """
        if len(self.weights) == 1:
            return amount
        weights = self.weights if any(self.weights) else [1, *(0 for _ in self.weights[1:])]
        return share_out(amount, weights, unit or self.unit)[self.place]

    def of_receipt(self, row: MoneyIn) -> MoneyIn:
        """Return this instrument's part of what came in."""
        return replace(
            row,
            amount=self.of(row.amount, minor_unit_of(row.currency)),
            home=self.of(row.home),
            fee=self.of(row.fee),
            gain=self.of(row.gain),
            reached_gain=None if row.reached_gain is None else self.of(row.reached_gain),
            foreign_fee=None
            if row.foreign_fee is None
            else self.of(row.foreign_fee, minor_unit_of(row.currency)),
        )


def share_in_order(quote: Quote, offer: Offer, on: date) -> OrderShare:
    """Return the share of an instrument in its order: all of it where it is the only one."""
    order = quote.part_of or quote
    instruments = order.instruments
    whole = offer if order.pk == quote.pk else offer_of(order, on=on)
    nets = [offer_of(one, on=on).sheet.net for one in instruments[1:]]
    nets.insert(0, whole.sheet.net - sum(nets, Decimal(0)))
    changes = list(Change.objects.filter(quote__in=instruments).select_related("quote"))
    return OrderShare(
        order=order,
        offer=whole,
        own=offer,
        changes=changes,
        weights=[
            max(net + _billed(one, changes), Decimal(0))
            for one, net in zip(instruments, nets, strict=True)
        ],
        place=[one.pk for one in instruments].index(quote.pk),
        unit=home_minor_unit(),
    )


def _billed(one: Quote, changes: Sequence[Change]) -> Decimal:
    agreed = (
        change.price
        for change in changes
        if change.quote_id == one.pk and change.state == Change.State.AGREED and change.is_billed
    )
    return in_home_money(sum(agreed, Decimal(0)), one.exchange_rate, home_minor_unit())
