"""Order sheets to suppliers."""

from types import SimpleNamespace

from inventory.documents.printing import page_size, write_pdf
from inventory.queries.orders import OrderPaper


def order_sheet(paper: OrderPaper) -> bytes:
    """Return the order sheet as PDF, A4 or Letter as the shop's country has it."""
    context = {
        "paper": paper,
        "shop": {"name": paper.ours},
        "workshop": SimpleNamespace(currency=paper.currency),
        "size": page_size(paper.country),
    }
    return write_pdf("inventory/papers/order.html", context)
