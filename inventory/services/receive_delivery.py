"""Book a delivery in: lots and pieces at landed cost."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.arrivals import Charges, NewLine, at_home, land_lines
from inventory.calc.landed import split_cost
from inventory.calc.units import from_base
from inventory.days import begin_of
from inventory.fields import quantity_value
from inventory.locking import lock_materials
from inventory.models import (
    Delivery,
    DeliveryLine,
    Lot,
    Order,
    OrderLine,
    PriceKind,
    PriceNote,
    Reason,
    ShareBy,
    Supplier,
)
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
from inventory.shelf_life import expiry_of
from inventory.stock_refusals import check_quantity
from inventory.told import Told, told


@transaction.atomic
def receive_delivery(
    *,
    received_on: date,
    lines: Sequence[NewLine],
    now: datetime,
    supplier: Supplier | None = None,
    carriage: Decimal = Decimal(0),
    duty: Decimal = Decimal(0),
    tax: Decimal = Decimal(0),
    share_by: str = ShareBy.VALUE,
    currency: str = "",
    rate: Decimal | None = None,
    reference: str = "",
    note: str = "",
    user: Any = None,
) -> Delivery:
    """Record what came in; carriage and duty are shared over the lines, reclaimable `tax` is not.

    With a `currency`, prices and carriage are in it and turn into home money at `rate`. Each
    line's landed cost goes to one lot, or is cut over its pieces to the minor unit. What is booked
    in days later stands in the journal on the day that it came.
    Raises Refusal for an empty delivery, or for charges that can't be shared as asked.
    """
    if not lines:
        raise Refusal("A delivery has at least one line.", field="lines")
    lock_materials([line.material for line in lines])
    unit = home_unit()
    asked = Charges(
        carriage=carriage, duty=duty, tax=tax, share_by=share_by, currency=currency, rate=rate
    )
    own, charges = at_home(lines, asked, unit)
    delivery = Delivery.objects.create(
        supplier=supplier,
        received_on=received_on,
        reference=reference,
        carriage=charges.carriage,
        duty=duty,
        tax=tax,
        share_by=share_by,
        currency=currency,
        rate=rate if currency else None,
        note=note,
    )
    circumstances = told(now, _happened_at(received_on, now), user)
    for line, landed in zip(own, land_lines(own, charges, unit), strict=True):
        _book_line(delivery, line, landed.cost, unit, circumstances)
    _follow_orders(own, received_on)
    return delivery


def _happened_at(received_on: date, now: datetime) -> datetime:
    """Return the first instant of a past day: it was there for whatever was done that day."""
    return begin_of(received_on) if received_on < timezone.localtime(now).date() else now


def _book_line(
    delivery: Delivery, line: NewLine, cost: Decimal, unit: Decimal, circumstances: Told
) -> None:
    quantity = check_quantity(line.material, line.quantity)
    row = DeliveryLine.objects.create(
        delivery=delivery,
        material=line.material,
        quantity=quantity,
        price=line.price,
        foreign_price=line.foreign_price,
        mass_g=line.mass_g,
        landed_cost=cost,
        order_line=line.order_line,
    )
    parts = [(quantity, cost)]
    if line.material.is_piece:
        parts = [(Decimal(1), share) for share in split_cost(cost, int(quantity), unit)]
    for position, (amount, share) in enumerate(parts):
        post_entry(
            material=line.material,
            lot=_lot_of(row, line, position),
            reason=Reason.RECEIVED,
            quantity=amount,
            cost=share,
            told=circumstances,
        )
    _note_what_was_paid(row)


def _lot_of(row: DeliveryLine, line: NewLine, position: int) -> Lot:
    delivery = row.delivery
    return make_lot(
        material=line.material,
        received_on=delivery.received_on,
        supplier=delivery.supplier,
        delivery_line=row,
        place=line.place,
        expires_on=expiry_of(line.material, delivery.received_on, line.expires_on),
        note=line.note,
        piece=line.pieces[position] if position < len(line.pieces) else None,
    )


def _note_what_was_paid(line: DeliveryLine) -> None:
    each = line.landed_cost / from_base(line.quantity, line.material.unit)
    PriceNote.objects.create(
        material=line.material,
        supplier=line.delivery.supplier,
        noted_on=line.delivery.received_on,
        price=each.quantize(Decimal("0.0001")),
        kind=PriceKind.PAID,
        delivery_line=line,
    )


def _follow_orders(lines: Sequence[NewLine], on: date) -> None:
    """Note on the order lines what has come; an order of which all has come is closed."""
    named = [line for line in lines if line.order_line]
    for line in named:
        OrderLine.objects.filter(pk=line.order_line.pk).update(  # type: ignore[union-attr]
            received=F("received") + quantity_value(line.quantity)
        )
    keys = {line.order_line.order_id for line in named if line.order_line}
    still_open = OrderLine.objects.filter(received__lt=F("quantity")).values("order")
    Order.objects.filter(pk__in=keys, closed_on=None).exclude(pk__in=still_open).update(
        closed_on=on
    )
