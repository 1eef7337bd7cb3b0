"""Book a delivery in: lots and pieces at landed cost."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.arrivals import NewLine, land_lines
from inventory.calc.landed import split_cost
from inventory.locking import lock_materials
from inventory.models import Delivery, DeliveryLine, Reason, ShareBy, Supplier
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
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
    share_by: str = ShareBy.VALUE,
    reference: str = "",
    note: str = "",
    user: Any = None,
) -> Delivery:
    """Record what came in, in home money; carriage and duty are shared over the lines.

    Each line's landed cost goes to one lot, or is cut over its pieces to the minor unit.
    Raises Refusal for an empty delivery, or for charges that can't be shared as asked.
    """
    if not lines:
        raise Refusal("A delivery has at least one line.", field="lines")
    lock_materials([line.material for line in lines])
    delivery = Delivery.objects.create(
        supplier=supplier,
        received_on=received_on,
        reference=reference,
        carriage=carriage,
        duty=duty,
        share_by=share_by,
        note=note,
    )
    unit = home_unit()
    circumstances = told(now, None, user)
    landed = land_lines(lines, carriage=carriage, duty=duty, share_by=share_by, unit=unit)
    for line, own in zip(lines, landed, strict=True):
        _book_line(delivery, line, own.cost, unit, circumstances)
    return delivery


def _book_line(
    delivery: Delivery, line: NewLine, cost: Decimal, unit: Decimal, circumstances: Told
) -> None:
    quantity = check_quantity(line.material, line.quantity)
    row = DeliveryLine.objects.create(
        delivery=delivery,
        material=line.material,
        quantity=quantity,
        price=line.price,
        mass_g=line.mass_g,
        landed_cost=cost,
    )
    parts = [(quantity, cost)]
    if line.material.is_piece:
        parts = [(Decimal(1), share) for share in split_cost(cost, int(quantity), unit)]
    for position, (amount, share) in enumerate(parts):
        lot = make_lot(
            material=line.material,
            received_on=delivery.received_on,
            supplier=delivery.supplier,
            delivery_line=row,
            place=line.place,
            expires_on=line.expires_on,
            note=line.note,
            piece=line.pieces[position] if position < len(line.pieces) else None,
        )
        post_entry(
            material=line.material,
            lot=lot,
            reason=Reason.RECEIVED,
            quantity=amount,
            cost=share,
            told=circumstances,
        )
