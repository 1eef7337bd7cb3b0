"""The columns of purchase orders and deliveries, on their pages and in their files."""

from decimal import Decimal

from inventory.base.calc.units import from_base
from inventory.base.lists import Column
from inventory.models import Order
from inventory.purchasing.queries.buying import Buy
from inventory.templatetags.figures import plain_decimal


def order_state(row: Order) -> str:
    """Return the word for where an order of the list stands."""
    if row.closed_on:
        return "closed"
    return "sent" if row.sent_on else "draft"


def _shown(buy: Buy, quantity: Decimal) -> str:
    return plain_decimal(from_base(quantity, buy.material.unit))


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
BUY_COLUMNS = [
    Column(key="material", label="Material", cell=lambda buy: buy.material.name),
    Column(
        key="supplier",
        label="Supplier",
        cell=lambda buy: buy.material.supplier.name if buy.material.supplier else "",
    ),
    Column(
        key="for",
        label="For",
        cell=lambda buy: ", ".join(one.holder_name for one in buy.wanted) or "reorder level",
    ),
    Column(key="short", label="Short", cell=lambda buy: _shown(buy, buy.short)),
    Column(key="order", label="Order", cell=lambda buy: _shown(buy, buy.quantity)),
    Column(key="unit", label="Unit", cell=lambda buy: buy.material.unit_word),
    Column(key="by", label="Order by", cell=lambda buy: buy.order_by or ""),
]
