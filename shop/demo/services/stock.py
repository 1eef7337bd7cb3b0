"""Fill in what happened to the demo workshop's stock: cuts, weighings, papers, prices, packs."""

import tomllib
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction

from inventory.base.calc.units import to_base
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock
from inventory.kits.services import make_kit, save_recipe
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import Lot, Material, Meter, Paper, PriceBreak, Species
from inventory.shelf.services.moves import open_pack
from inventory.shelf.services.records import add_photo, record_price
from inventory.strings.calc.string_sets import PlannedString
from inventory.strings.services import StringChosen, save_string_set
from inventory.wood.services import record_moisture, weigh_piece
from shop.demo import DEMO
from shop.demo.pictures import a_drawing, draw_paper

Row = dict[str, Any]


@transaction.atomic
def fill_demo_stock(*, now: datetime) -> None:
    """Cut, weigh, read, price, open and photograph what `fill_demo_shelf` put on the shelf."""
    data = tomllib.loads((DEMO / "stock.toml").read_text(), parse_float=Decimal)
    materials = {material.name: material for material in Material.objects.all()}
    for row in data["origins"]:
        _origin(row, now.date())
    for row in data["cuts"]:
        _cut(row, materials, now - timedelta(days=row["days_ago"]))
    _weigh_and_read(data, now.date())
    for row in data["recipes"]:
        _recipe(row, materials, now)
    for row in data["string_sets"]:
        _string_set(row, materials)
    _price(data, materials, now.date())
    for name, days_ago in data["opened"].items():
        open_pack(lot=_lot(name), on=now.date() - timedelta(days=days_ago))
    for row in data["photos"]:
        _photograph(row, now.date())


def _lot(name: str, place: int = 1) -> Lot:
    """Return the lot or piece of a material that came in as the `place`-th."""
    return Lot.objects.filter(material__name=name).order_by("pk")[place - 1]


def _cut(row: Row, materials: dict[str, Material], then: datetime) -> None:
    """Cut a board into blanks, two abreast, and keep what is left at its full width."""
    board = _lot(row["board"])
    size = board.piece
    blank, rest = (
        PieceFacts(
            length_mm=Decimal(length),
            width_mm=width,
            thickness_mm=size.thickness_mm,
            log=size.log,
            is_ready=True,
        )
        for length, width in (
            (row["length"], Decimal(row["width"])),
            (row["remnant"], size.width_mm),
        )
    )
    part = CutPart(material=materials[row["blank"]], measure=Decimal(row["length"]), piece=blank)
    remnant = CutPart(material=board.material, measure=Decimal(row["remnant"]), piece=rest)
    cut_stock(
        lot=board,
        parts=[part] * row["blanks"],
        remnants=[remnant],
        usable=Decimal(row["usable"]),
        now=then,
    )


def _weigh_and_read(data: Row, today: date) -> None:
    facts = dict(data["meter"])
    facts["tested_on"] = today - timedelta(days=facts.pop("tested"))
    sheet = facts.pop("of_species")
    meter = Meter.objects.create(**facts)
    for name, (slope, offset) in sheet.items():
        species = Species.objects.get(name=name)
        meter.of_species.create(species=species, slope=slope, offset=offset)
    for name, pieces in data["weighings"].items():
        for place, weighings in pieces.items():
            lot = _lot(name, int(place))
            for days_ago, grams in weighings:
                on = today - timedelta(days=days_ago)
                weigh_piece(lot=lot, grams=Decimal(grams), on=on)
    for name, pieces in data["readings"].items():
        for place, readings in pieces.items():
            lot = _lot(name, int(place))
            for days_ago, raw, celsius in readings:
                on = today - timedelta(days=days_ago)
                record_moisture(lot=lot, raw=raw, on=on, meter=meter, celsius=Decimal(celsius))


def _origin(row: Row, today: date) -> None:
    lots = Lot.objects.filter(material__name=row["material"])
    lots.update(country=row["country"])
    first = _lot(row["material"])
    for paper in row["papers"]:
        facts = dict(paper)
        facts["issued_on"] = today - timedelta(days=facts.pop("days_ago"))
        if "valid_until" in facts:
            facts["valid_until"] = today - timedelta(days=facts["valid_until"])
        copy = facts.pop("copy", False)
        kept = Paper.objects.create(lot=first, **facts)
        if copy:
            kept.file.save(f"{kept}.png", ContentFile(draw_paper(str(kept), kept.issued_by)))


def _recipe(row: Row, materials: dict[str, Material], now: datetime) -> None:
    parts = [
        (material, to_base(Decimal(quantity), material.unit))
        for name, quantity in row["parts"].items()
        for material in [materials[name]]
    ]
    recipe = save_recipe(material=materials[row["material"]], parts=parts)
    for days_ago, quantity in row["made"]:
        made_at = now - timedelta(days=days_ago)
        make_kit(recipe=recipe, quantity=Decimal(quantity), now=made_at)


def _string_set(row: Row, materials: dict[str, Material]) -> None:
    strings = [
        StringChosen(
            material=materials[name],
            end=row.get("end", ""),
            string=PlannedString(
                pitch=pitch,
                count=count,
                gauge=Decimal(gauge),
                grams_per_metre=weight[0] if weight else None,
            ),
        )
        for pitch, count, name, gauge, *weight in row["strings"]
    ]
    save_string_set(
        material=materials[row["material"]],
        instrument=row["instrument"],
        scale_mm=Decimal(row["scale"]),
        note=row["note"],
        strings=strings,
    )


def _price(data: Row, materials: dict[str, Material], today: date) -> None:
    for name, prices in data["prices"].items():
        for days_ago, price in prices:
            on = today - timedelta(days=days_ago)
            record_price(material=materials[name], price=Decimal(price), on=on)
    for name, realisable in data["realisable"].items():
        material = materials[name]
        asked = material.replacement_price
        on = material.replacement_checked_on or today
        record_price(material=material, price=asked, on=on, realisable=Decimal(realisable))
    for name, breaks in data["breaks"].items():
        for least, price in breaks:
            base = to_base(Decimal(least), materials[name].unit)
            PriceBreak.objects.create(material=materials[name], least=base, price=Decimal(price))


def _photograph(row: Row, today: date) -> None:
    on = today - timedelta(days=row["days_ago"])
    lot = _lot(row["material"], row["piece"])
    add_photo(lot=lot, upload=a_drawing(row["picture"]), on=on, note=row["note"])
