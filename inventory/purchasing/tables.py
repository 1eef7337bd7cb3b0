"""The columns of purchase orders, deliveries and bills, on their pages and in their files."""

from decimal import Decimal

from inventory.base.calc.units import from_base
from inventory.base.lists import Column, figure, of_field
from inventory.purchasing.queries.buying import Buy
from inventory.purchasing.queries.orders import order_state
from inventory.templatetags.figures import plain_decimal


def _shown(buy: Buy, quantity: Decimal) -> str:
    return plain_decimal(from_base(quantity, buy.material.unit))


ORDER_COLUMNS = [
    of_field("number", "Order", "number", first="-"),
    of_field("supplier", "Supplier", "supplier__name"),
    of_field("date", "Date", "made_on", first="-"),
    figure("lines", "Lines", "line_count"),
    Column(
        key="state",
        label="Status",
        order=("closed_on", "sent_on"),
        cell=lambda row: order_state(row)[0],
    ),
]
DELIVERY_COLUMNS = [
    of_field("received", "Received", "received_on", first="-"),
    of_field("supplier", "Supplier", "supplier__name"),
    of_field("reference", "Invoice number", "reference"),
    figure("lines", "Lines", "line_count"),
    figure("landed", "Landed cost", "landed", help="landed-cost"),
]
BILL_COLUMNS = [
    of_field("date", "Date", "billed_on", first="-"),
    of_field("supplier", "Supplier", "supplier__name"),
    of_field("number", "Number", "number"),
    of_field("due", "Due", "due_on"),
    of_field("currency", "Currency", "currency", beside=True),
    figure("net", "Net", "net"),
    figure("tax", "Tax", "tax"),
    figure("gross", "Gross", "gross"),
    of_field("rate", "Exchange rate", "rate", beside=True),
    of_field("home-net", "Net, own currency", "home_net", beside=True),
    of_field("home-tax", "Tax, own currency", "home_tax", beside=True),
    of_field("home-gross", "Gross, own currency", "home_gross", beside=True),
    of_field("paid", "Paid", "paid_on", first="-"),
    of_field("void", "Void because", "void_why", beside=True),
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
