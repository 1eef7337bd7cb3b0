"""Fill in the demo workshop's last orders: one draft, one sent, one delivered after a mistake."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.arrivals import NewLine
from inventory.calc.units import to_base
from inventory.models import Delivery, Material, Order
from inventory.ordering import ToOrder
from inventory.queries.deliveries import received_by
from inventory.services.change_order import change_order
from inventory.services.make_orders import make_orders
from inventory.services.receive_delivery import receive_delivery
from inventory.services.send_order import send_order
from inventory.services.undo_entries import undo_entries
from shop.demo import DEMO

Row = dict[str, Any]


@transaction.atomic
def fill_demo_buying(*, now: datetime) -> list[Order]:
    """Return the orders, made and sent in the weeks before `now`."""
    data = tomllib.loads((DEMO / "stock.toml").read_text(), parse_float=Decimal)
    materials = {material.name: material for material in Material.objects.all()}
    return [_order(row, materials, now) for row in data["orders"]]


def _order(row: Row, materials: dict[str, Material], now: datetime) -> Order:
    today = now.date()
    lines = [
        ToOrder(
            material=materials[name],
            quantity=to_base(Decimal(quantity), materials[name].unit),
            price=materials[name].replacement_price,
        )
        for name, quantity in row["lines"].items()
    ]
    [order] = make_orders(lines=lines, on=today - timedelta(days=row["made"]))
    if "note" in row:
        order = change_order(order=order, lines={}, note=row["note"])
    if "sent" in row:
        order = send_order(order=order, on=today - timedelta(days=row["sent"]))
    if "mistaken" in row:
        mistaken = row["mistaken"]
        entries = received_by(_receive(order, mistaken, now))
        then = now - timedelta(days=mistaken["days_ago"])
        undo_entries(entries=entries, now=then, why=mistaken["why"])
    if "came" in row:
        _receive(order, row["came"], now)
    return order


def _receive(order: Order, came: Row, now: datetime) -> Delivery:
    then = now - timedelta(days=came["days_ago"])
    open_lines = {line.material.name: line for line in order.lines.select_related("material")}
    places = {name: line.material.lots.order_by("pk").first() for name, line in open_lines.items()}
    lines = [
        NewLine(
            material=open_lines[name].material,
            quantity=to_base(Decimal(quantity), open_lines[name].material.unit),
            price=Decimal(price),
            place=last.place if (last := places[name]) else None,
            order_line=open_lines[name],
        )
        for name, (quantity, price) in came["lines"].items()
    ]
    return receive_delivery(
        received_on=then.date(),
        lines=lines,
        supplier=order.supplier,
        carriage=Decimal(came["carriage"]),
        reference=came["reference"],
        now=then,
    )
