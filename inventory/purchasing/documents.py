"""Order sheets to suppliers."""

from types import SimpleNamespace

from inventory.base.documents import page_size, write_pdf
from inventory.models import Order
from inventory.purchasing.queries.orders import OrderPaper, order_paper


def printed_order(order: Order) -> bytes:
    """Return the sheet of `order` as it was sent, or as it stands."""
    if order.sent_on and order.document:
        with order.document.open("rb") as file:
            return bytes(file.read())
    return order_sheet(order_paper(order))


def order_sheet(paper: OrderPaper) -> bytes:
    """Return the order sheet as PDF, A4 or Letter as the shop's country has it."""
    context = {
        "paper": paper,
        "shop": {"name": paper.ours},
        "workshop": SimpleNamespace(currency=paper.currency),
        "size": page_size(paper.country),
    }
    return write_pdf("inventory/papers/order.html", context)
