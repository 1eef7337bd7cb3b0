"""Purchase orders: made, edited, sent, closed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.files.base import ContentFile
from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.calc.days import day_words
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from inventory.base.services import next_number
from inventory.ledger.refusals import check_quantity
from inventory.models import Material, Order, OrderLine, Supplier
from inventory.purchasing.documents import order_sheet
from inventory.purchasing.queries.orders import order_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class ToOrder:
    """So much (base units) of a material; `price` for one unit as shown, in supplier's money."""

    material: Material
    quantity: Decimal
    price: Decimal | None = None


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
        raise Refusal(f"{orphans}: no supplier. Enter a supplier first.", field="lines")


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


@transaction.atomic
def edit_order(
    *, order: Order, lines: Mapping[int, tuple[Decimal, Decimal]], note: str = ""
) -> Order:
    """Set quantity (base units) and price of lines by their key; a quantity of 0 takes one off.

    Raises Refusal once the sheet is sent: then it stays as it was sent.
    """
    fresh = Order.objects.select_for_update().get(pk=order.pk)
    if fresh.sent_on:
        raise Refusal(f"{fresh.number} was sent. Make another order for the difference.")
    for line in OrderLine.objects.filter(order=fresh, pk__in=lines).select_related("material"):
        quantity, price = lines[line.pk]
        if not quantity:
            line.delete()
            continue
        line.quantity, line.price = check_quantity(line.material, quantity), price
        line.save(update_fields=["quantity", "price"])
    fresh.note = note
    fresh.save(update_fields=["note"])
    return fresh


@in_attempts
@transaction.atomic
def send_order(*, order: Order, on: date) -> Order:
    """Write the sheet as PDF and stamp the day. Raises Refusal when it was sent, or has no lines.

    Sending it to the supplier is left to the maker: print it, or attach it to a letter.
    """
    fresh = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if fresh.sent_on:
        raise Refusal(f"{fresh.number} was sent on {day_words(fresh.sent_on)}.")
    if not fresh.lines.exists():
        raise Refusal(f"{fresh.number} has no lines. Add a line first.")
    fresh.sent_on = on
    pdf = order_sheet(order_paper(fresh))
    fresh.document.save(f"{fresh.number}.pdf", ContentFile(pdf), save=False)
    fresh.save(update_fields=["sent_on", "document"])
    return fresh


@transaction.atomic
def close_order(*, order: Order, on: date) -> Order:
    """Count what has not come as no longer on order. Raises Refusal when it is closed already."""
    fresh = Order.objects.select_for_update().get(pk=order.pk)
    if fresh.closed_on:
        raise Refusal(f"{fresh.number} is already closed.")
    fresh.closed_on = on
    fresh.save(update_fields=["closed_on"])
    return fresh
