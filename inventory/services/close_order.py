"""Close an order whose rest will not come, or that was never sent."""

from datetime import date

from django.db import transaction

from inventory.models import Order
from inventory.refusals import Refusal


@transaction.atomic
def close_order(*, order: Order, on: date) -> Order:
    """Count what has not come as no longer on order. Raises Refusal when it is closed already."""
    fresh = Order.objects.select_for_update().get(pk=order.pk)
    if fresh.closed_on:
        raise Refusal(f"{fresh.number} is closed already.")
    fresh.closed_on = on
    fresh.save(update_fields=["closed_on"])
    return fresh
