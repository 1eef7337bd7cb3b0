"""The columns of purchase orders and deliveries, on their pages and in their files."""

from inventory.base.lists import Column
from inventory.models import Order


def order_state(row: Order) -> str:
    """Return the word for where an order of the list stands."""
    if row.closed_on:
        return "closed"
    return "sent" if row.sent_on else "draft"


ORDER_COLUMNS = [
    Column(key="number", label="Order", order=("number",), first="-", cell=lambda row: row.number),
    Column(
        key="supplier",
        label="Supplier",
        order=("supplier__name",),
        cell=lambda row: row.supplier.name,
    ),
    Column(key="date", label="Date", order=("made_on",), first="-", cell=lambda row: row.made_on),
    Column(
        key="lines",
        label="Lines",
        order=("line_count",),
        kind="num",
        first="-",
        cell=lambda row: row.line_count,
    ),
    Column(
        key="state",
        label="Status",
        order=("closed_on", "sent_on"),
        cell=order_state,
    ),
]
DELIVERY_COLUMNS = [
    Column(
        key="received",
        label="Received",
        order=("received_on",),
        first="-",
        cell=lambda row: row.received_on,
    ),
    Column(
        key="supplier",
        label="Supplier",
        order=("supplier__name",),
        cell=lambda row: row.supplier.name if row.supplier else "",
    ),
    Column(
        key="reference",
        label="Invoice number",
        order=("reference",),
        cell=lambda row: row.reference,
    ),
    Column(
        key="lines",
        label="Lines",
        order=("line_count",),
        kind="num",
        first="-",
        cell=lambda row: row.line_count,
    ),
    Column(
        key="landed",
        help="landed-cost",
        label="Landed cost",
        order=("landed",),
        kind="num",
        first="-",
        cell=lambda row: row.landed,
    ),
]
