"""Change the lines of an order sheet that has not been sent."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from inventory.models import Order, OrderLine
from inventory.refusals import Refusal
from inventory.stock_refusals import check_quantity


@transaction.atomic
def change_order(
    *, order: Order, lines: Mapping[int, tuple[Decimal, Decimal]], note: str = ""
) -> Order:
    """Set quantity (base units) and price of lines by their key; a quantity of 0 takes one off.

    Raises Refusal once the sheet is sent: then it stays as it was sent.
    """
    fresh = Order.objects.select_for_update().get(pk=order.pk)
    if fresh.sent_on:
        raise Refusal(f"{fresh.number} was sent. Make another order for what has changed.")
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
