"""Fill the shelf of the demo workshop: materials, what was delivered, and what lines mean them."""

import tomllib
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.base.calc.units import base_unit, to_base
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import CostMethod, Family, KeptAs, Material, Place, Species, Supplier
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.shelf.services.records import record_price
from shop.demo import DEMO
from shop.models import TemplateLine

Row = dict[str, Any]


@transaction.atomic
def fill_demo_shelf(*, now: datetime) -> list[Material]:
    """Return the demo's materials, in stock by deliveries that lie days or years before `now`."""
    data = tomllib.loads((DEMO / "shelf.toml").read_text(), parse_float=Decimal)
    suppliers = {row["name"]: Supplier.objects.create(**row) for row in data["suppliers"]}
    named: dict[str, Any] = {**suppliers}
    named |= {family.name: family for family in Family.objects.all()}
    named |= {one.name: one for one in Species.objects.all()}
    places = _places(data)
    materials = []
    came: dict[tuple[int, Supplier | None], list[NewLine]] = defaultdict(list)
    for row in data["materials"]:
        material = _material(row, named, now)
        for stock in row.get("stock", []):
            place = places[row.get("place") or data["places"][row["family"]]]
            came[stock["days_ago"], material.supplier].append(_line(material, stock, place, now))
        _name_in_templates(material, row)
        materials.append(material)
    for days_ago, supplier in sorted(came, key=lambda key: -key[0]):
        carriage = data["carriage"].get(str(supplier), {}).get(str(days_ago), 0)
        _receive(came[days_ago, supplier], supplier, now - timedelta(days=days_ago), carriage)
    return materials


def _places(data: Row) -> dict[str, Place]:
    names = {
        *data["places"].values(),
        *(row["place"] for row in data["materials"] if "place" in row),
    }
    return {name: Place.objects.create(name=name) for name in sorted(names)}


def _material(row: Row, named: dict[str, Any], now: datetime) -> Material:
    is_piece = row["kept_as"] == KeptAs.PIECE
    material = Material.objects.create(
        name=row["name"],
        family=named[row["family"]],
        kept_as=row["kept_as"],
        cost_method=CostMethod.ACTUAL if is_piece else row.get("cost_method", CostMethod.FIFO),
        unit=row.get("unit", base_unit(row["kept_as"])),
        supplier=named.get(row.get("supplier", "")),
        species=named.get(row.get("species", "")),
        lead_time_days=row.get("lead_time_days"),
        reorder_level=to_base(Decimal(row["reorder_level"]), row["unit"])
        if "reorder_level" in row
        else None,
        shelf_days=row.get("shelf_days"),
        open_days=row.get("open_days"),
        pictograms=row.get("pictograms", []),
        caution=row.get("caution", ""),
    )
    on = (now - timedelta(days=50)).date()
    return record_price(material=material, price=Decimal(row["price"]), on=on)


def _line(material: Material, stock: Row, place: Place, now: datetime) -> NewLine:
    expires_in = stock.get("expires_in")
    return NewLine(
        material=material,
        quantity=to_base(Decimal(stock["quantity"]), material.unit),
        price=Decimal(stock["price"]),
        place=place,
        expires_on=(now + timedelta(days=expires_in)).date() if expires_in else None,
        pieces=[_piece(facts, stock) for facts in stock.get("pieces", [])],
    )


def _piece(facts: Sequence[Any], stock: Row) -> PieceFacts:
    length, width, thickness, mass, is_ready = facts
    return PieceFacts(
        length_mm=Decimal(length),
        width_mm=Decimal(width),
        thickness_mm=Decimal(thickness),
        mass_g=Decimal(mass),
        parts=stock.get("parts", 2),
        grade=stock.get("grade", ""),
        log=stock.get("log", ""),
        is_ready=is_ready,
    )


def _receive(
    lines: Sequence[NewLine], supplier: Supplier | None, then: datetime, carriage: Any
) -> None:
    receive_delivery(
        received_on=then.date(),
        lines=lines,
        supplier=supplier,
        carriage=Decimal(carriage),
        now=then,
    )


def _name_in_templates(material: Material, row: Row) -> None:
    lines = TemplateLine.objects.filter(name__in=row.get("lines", []))
    if "templates" in row:
        lines = lines.filter(template__name__in=row["templates"])
    lines.update(material=material, family=material.family)
