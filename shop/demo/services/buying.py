"""The demo workshop's orders and counts."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.base.calc.units import to_base
from inventory.base.people import Person
from inventory.counting.services import close_count, record_count, start_count
from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Count, Delivery, Material, Order, Place, Supplier
from inventory.purchasing.queries.deliveries import received_by, still_stands
from inventory.purchasing.services.bills import NewBill, enter_bill
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.purchasing.services.orders import ToOrder, edit_order, make_orders, send_order
from shop.demo import DEMO

Row = dict[str, Any]


@transaction.atomic
def fill_demo_buying(*, now: datetime) -> list[Order]:
    """Return the orders, made and sent in the weeks before `now`, and enter suppliers' bills."""
    data = tomllib.loads((DEMO / "stock.toml").read_text(), parse_float=Decimal)
    materials = {material.name: material for material in Material.objects.all()}
    orders = [_order(row, materials, now) for row in data["orders"]]
    for row in data["bills"]:
        _bill(row, now)
    return orders


def _bill(row: Row, now: datetime) -> None:
    today = now.date()
    supplier = Supplier.objects.get(name=row["supplier"])
    covered = Delivery.objects.filter(still_stands(), supplier=supplier, reference=row["number"])
    billed_on = today - timedelta(days=row["days_ago"])
    bill = NewBill(
        supplier=supplier,
        number=row["number"],
        billed_on=billed_on,
        due_on=billed_on + timedelta(days=row["due"]),
        net=Decimal(row["net"]),
        tax=Decimal(row["tax"]),
        paid_on=today - timedelta(days=row["paid"]) if "paid" in row else None,
        deliveries=list(covered),
    )
    enter_bill(bill=bill, now=now)


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
        order = edit_order(order=order, lines={}, note=row["note"])
    if "sent" in row:
        order = send_order(order=order, on=today - timedelta(days=row["sent"]))
    if "mistaken" in row:
        mistaken = row["mistaken"]
        entries = received_by(_receive(order, mistaken, now))
        then = now - timedelta(days=mistaken["days_ago"])
        reverse_groups(entries=entries, now=then, why=mistaken["why"])
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
        tax=Decimal(came.get("tax", 0)),
        reference=came["reference"],
        now=then,
    )


@transaction.atomic
def fill_demo_counting(*, now: datetime, user: Person | None = None) -> list[Count]:
    """Return the counts; what moved after the first was frozen must be filled in after it."""
    data = tomllib.loads((DEMO / "stock.toml").read_text(), parse_float=Decimal)
    return [_count(row, now, user) for row in data["counts"]]


def _count(row: Row, now: datetime, user: Person | None) -> Count:
    count = start_count(
        name=row["name"],
        place=Place.objects.get(name=row["place"]),
        is_blind=row.get("is_blind", False),
        now=now - timedelta(days=row["days_ago"], hours=1),
    )
    found = {name: (Decimal(by), reason, note) for name, by, reason, note in row["found"]}
    for line in count.lines.select_related("material", "lot")[: row.get("done")]:
        by, reason, note = found.pop(line.material.name, (Decimal(0), "", ""))
        counted = line.expected + to_base(by, line.material.unit)
        record_count(line=line, counted=counted, reason=reason, note=note)
    if "closed" in row:
        close_count(count=count, now=now - timedelta(days=row["closed"]), user=user)
    return count
