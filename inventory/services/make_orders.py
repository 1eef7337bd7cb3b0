"""Put what is to be bought on order sheets, one for each supplier."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.models import Material, Order, OrderLine, Supplier
from inventory.money import home_currency
from inventory.ordering import ToOrder
from inventory.refusals import Refusal
from inventory.services.next_number import next_number
from inventory.stock_refusals import check_quantity


@transaction.atomic
def make_orders(*, lines: Sequence[ToOrder], on: date) -> list[Order]:
    """Add `lines` to the drafts of their suppliers, begun where there is none.

    A line without a price is put down at 0, to be filled in. Raises Refusal for an empty list, and
    for materials that nobody is known to sell.
    """
    if not lines:
        raise Refusal("Choose at least one material to order.", field="lines")
    _check_suppliers([line.material for line in lines])
    orders: dict[int, Order] = {}
    for line in lines:
        supplier = line.material.supplier
        if supplier is None:
            continue
        order = orders.get(supplier.pk) or _draft(supplier, on)
        orders[supplier.pk] = order
        OrderLine.objects.create(
            order=order,
            material=line.material,
            words=line.material.name,
            quantity=check_quantity(line.material, line.quantity),
            price=line.price or Decimal(0),
        )
    return list(orders.values())


def _check_suppliers(materials: Sequence[Material]) -> None:
    orphans = ", ".join(str(row) for row in materials if row.supplier_id is None)
    if orphans:
        raise Refusal(f"Nobody is known to sell {orphans}. Name a supplier first.", field="lines")


def _draft(supplier: Supplier, on: date) -> Order:
    draft = Order.objects.filter(supplier=supplier, sent_on=None, closed_on=None).first()
    if draft:
        return draft
    serial = next_number(series=f"orders {on.year}")
    return Order.objects.create(
        number=f"O-{on.year}-{serial:02d}",
        supplier=supplier,
        made_on=on,
        currency=supplier.currency or home_currency(),
    )
