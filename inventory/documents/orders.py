"""Order sheets to suppliers."""

from inventory.documents.printing import write_pdf
from inventory.queries.orders import OrderPaper


def order_sheet(paper: OrderPaper) -> bytes:
    """Return the order sheet as PDF."""
    context = {"paper": paper, "workshop": {"currency": paper.currency}}
    return write_pdf("inventory/papers/order.html", context)
