"""Fill the shelf of the demo workshop: materials, what was delivered, and what lines mean them."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.arrivals import NewLine, PieceFacts
from inventory.calc.units import base_unit, to_base
from inventory.models import CostMethod, Family, KeptAs, Material, Supplier
from inventory.services.receive_delivery import receive_delivery
from shop.demo import DEMO
from shop.models import TemplateLine

Row = dict[str, Any]


@transaction.atomic
def fill_demo_shelf(*, now: datetime) -> list[Material]:
    """Return the demo's materials, in stock by deliveries that lie days or years before `now`."""
    data = tomllib.loads((DEMO / "shelf.toml").read_text(), parse_float=Decimal)
    suppliers = {row["name"]: Supplier.objects.create(**row) for row in data["suppliers"]}
    families = {family.name: family for family in Family.objects.all()}
    materials = []
    for row in data["materials"]:
        material = _material(row, families, suppliers, now)
        for stock in row.get("stock", []):
            _receive(material, stock, now)
        _name_in_templates(material, row)
        materials.append(material)
    return materials


def _material(
    row: Row, families: dict[str, Family], suppliers: dict[str, Supplier], now: datetime
) -> Material:
    is_piece = row["kept_as"] == KeptAs.PIECE
    return Material.objects.create(
        name=row["name"],
        family=families[row["family"]],
        kept_as=row["kept_as"],
        cost_method=CostMethod.ACTUAL if is_piece else row.get("cost_method", CostMethod.FIFO),
        unit=row.get("unit", base_unit(row["kept_as"])),
        supplier=suppliers[row["supplier"]],
        lead_time_days=row.get("lead_time_days"),
        replacement_price=Decimal(row["price"]),
        replacement_checked_on=(now - timedelta(days=50)).date(),
        reorder_level=to_base(Decimal(row["reorder_level"]), row["unit"])
        if "reorder_level" in row
        else None,
        caution=row.get("caution", ""),
    )


def _receive(material: Material, stock: Row, now: datetime) -> None:
    then = now - timedelta(days=stock["days_ago"])
    expires_in = stock.get("expires_in")
    line = NewLine(
        material=material,
        quantity=to_base(Decimal(stock["quantity"]), material.unit),
        price=Decimal(stock["price"]),
        expires_on=(now + timedelta(days=expires_in)).date() if expires_in else None,
        pieces=[_piece(*facts) for facts in stock.get("pieces", [])],
    )
    receive_delivery(received_on=then.date(), lines=[line], supplier=material.supplier, now=then)


def _piece(length: int, width: int, thickness: Decimal, mass: int, is_ready: bool) -> PieceFacts:
    return PieceFacts(
        length_mm=Decimal(length),
        width_mm=Decimal(width),
        thickness_mm=Decimal(thickness),
        mass_g=Decimal(mass),
        parts=2,
        is_ready=is_ready,
    )


def _name_in_templates(material: Material, row: Row) -> None:
    lines = TemplateLine.objects.filter(name__in=row.get("lines", []))
    if "templates" in row:
        lines = lines.filter(template__name__in=row["templates"])
    lines.update(material=material, family=material.family)
