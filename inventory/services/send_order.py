"""Send an order sheet: from then on it is as it was sent."""

from datetime import date

from django.core.files.base import ContentFile
from django.db import transaction

from inventory.documents.orders import order_sheet
from inventory.models import Order
from inventory.queries.orders import order_paper
from inventory.refusals import Refusal


@transaction.atomic
def send_order(*, order: Order, on: date) -> Order:
    """Write the sheet as PDF and stamp the day. Raises Refusal when it was sent, or has no lines.

    Sending it to the supplier is left to the maker: print it, or attach it to a letter.
    """
    fresh = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if fresh.sent_on:
        raise Refusal(f"{fresh.number} was sent on {fresh.sent_on.day} {fresh.sent_on:%B %Y}.")
    if not fresh.lines.exists():
        raise Refusal(f"{fresh.number} has no lines. Put something on it first.")
    fresh.sent_on = on
    pdf = order_sheet(order_paper(fresh))
    fresh.document.save(f"{fresh.number}.pdf", ContentFile(pdf), save=False)
    fresh.save(update_fields=["sent_on", "document"])
    return fresh
