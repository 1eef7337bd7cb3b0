"""What is recorded of a lot or a material: photos and prices."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.calc.units import UNITS_BY_KIND
from inventory.base.photos import shrunk_photo
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_in_use
from inventory.ledger.services.prices import last_prices, take_last_prices
from inventory.models import (
    CostMethod,
    DeliveryLine,
    Family,
    Lot,
    Material,
    Paper,
    Photo,
    Place,
    PriceKind,
    PriceNote,
    StockEntry,
    Supplier,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPrice:
    """Prices of one unit as shown, in home money; None leaves one as it is.

    `seen` are replacement price and realisable value as they were when somebody decided.
    """

    material: Material
    price: Decimal | None = None
    realisable: Decimal | None = None
    seen: tuple[Decimal | None, Decimal | None] | None = None


@in_attempts
@transaction.atomic
def add_photo(*, lot: Lot, upload: UploadedFile, on: date, note: str = "") -> Photo:
    """Shrink the picture, strip what the camera wrote into it, and keep it with `lot`.

    Raises Refusal for what is no picture or too large to open.
    """
    shrunk = shrunk_photo(upload)
    files = shrunk.files(f"{lot.number}-{lot.photos.count() + 1}")
    return Photo.objects.create(lot=lot, note=note, taken_on=on, **files)


@transaction.atomic
def remove_photo(*, photo: Photo) -> None:
    """Delete a photo, and its files once that is certain."""
    files = [file for file in (photo.image, photo.small) if file]
    photo.delete()
    transaction.on_commit(lambda: [file.delete(save=False) for file in files])


@transaction.atomic
def remove_paper(*, paper: Paper) -> None:
    """Delete a document that belongs elsewhere, and its file once that is certain."""
    file = paper.file
    paper.delete()
    if file:
        transaction.on_commit(lambda: file.delete(save=False))


@transaction.atomic
def record_price(
    *,
    material: Material,
    price: Decimal | None,
    on: date,
    realisable: Decimal | None = None,
) -> Material:
    """Note replacement and realisable price (home money, one unit as shown) for the day `on`.

    Both join the material's history, and are its prices unless later ones are known: a price that
    is told late counts from its own day on. Issued quotes are never reached.
    """
    if (price is not None and price < 0) or (realisable is not None and realisable < 0):
        raise Refusal("The price must be 0 or more.", field="price")
    Material.objects.select_for_update().get(pk=material.pk)
    kinds = ((PriceKind.REPLACEMENT, price), (PriceKind.REALISABLE, realisable))
    _note([(material, kind, told) for kind, told in kinds], on)
    take_last_prices([material])
    return material


@transaction.atomic
def record_prices(*, prices: Sequence[NewPrice], on: date) -> int:
    """Note the prices of many materials as checked on the day `on`; return how many.

    Raises Refusal, and notes none, where one changed since it was seen, or is archived.
    """
    locked = lock_materials([one.material for one in prices])
    check_in_use(locked.values())
    told = []
    for one in prices:
        material = locked[one.material.pk]
        if one.seen not in (None, (material.replacement_price, material.realisable_price)):
            raise Refusal(f"The price of {material} changed meanwhile. Look at the changes again.")
        if one.price is not None:
            told.append((material, PriceKind.REPLACEMENT, one.price))
        if one.realisable is not None:
            told.append((material, PriceKind.REALISABLE, one.realisable))
    _note(told, on)
    take_last_prices(list(locked.values()))
    return len(prices)


@transaction.atomic
def learn_price(*, line: DeliveryLine, price: Decimal, on: date) -> Material:
    """Note what `line` cost as the replacement price of the day `on`; a later one stands.

    The note names the line, so that a delivery that is reversed takes it back.
    """
    material = line.material
    Material.objects.select_for_update().get(pk=material.pk)
    _note_what_was_known(material, on)
    PriceNote.objects.create(
        material=material,
        supplier=line.delivery.supplier,
        noted_on=on,
        kind=PriceKind.REPLACEMENT,
        price=price,
        delivery_line=line,
    )
    take_last_prices([material])
    return material


def _note_what_was_known(material: Material, on: date) -> None:
    """Keep a price that came with the material and was never noted, so that it can come back."""
    known = material.replacement_price
    if known is not None and not last_prices([material], PriceKind.REPLACEMENT):
        told = [(material, PriceKind.REPLACEMENT, known)]
        _note(told, material.replacement_checked_on or on)


def _note(told: Sequence[tuple[Material, PriceKind, Decimal | None]], on: date) -> None:
    """Add to the history what says something new; that a price holds still is new for a day."""
    materials = [material for material, _, _ in told]
    last = {kind: last_prices(materials, kind, by=on) for kind in {kind for _, kind, _ in told}}
    PriceNote.objects.bulk_create(
        PriceNote(
            material=material,
            supplier_id=None if kind == PriceKind.REALISABLE else material.supplier_id,
            noted_on=on,
            kind=kind,
            price=price,
        )
        for material, kind, price in told
        if _is_new(last[kind].get(material.pk), price, on)
    )


def _is_new(last: PriceNote | None, price: Decimal | None, on: date) -> bool:
    known, known_on = (last.price, last.noted_on) if last else (None, None)
    is_told = last is None or last.delivery_line_id is None
    return price != known or (price is not None and not (known_on == on and is_told))


@transaction.atomic
def edit_materials(
    *,
    materials: Sequence[Material],
    supplier: Supplier | None = None,
    family: Family | None = None,
    kept_as: str = "",
    place: Place | None = None,
) -> int:
    """Give all `materials` one supplier, family or way of being kept, or their lots one place.

    What is not given stays. Returns how many materials there were. Raises Refusal where none is,
    where nothing is given, or where a way of being kept does not fit a material: then none is
    changed.
    """
    if not materials:
        raise Refusal("Tick at least one material.")
    if not (supplier or family or kept_as or place):
        raise Refusal("Choose what the ticked materials should have: nothing is chosen yet.")
    locked = list(lock_materials(materials).values())
    entries = StockEntry.objects.filter(material__in=locked).order_by()
    begun = set(entries.values_list("material", flat=True).distinct())
    for row in locked:
        row.supplier = supplier or row.supplier
        row.family = family or row.family
        if kept_as and kept_as != row.kept_as:
            _keep_as(row, kept_as, has_begun=row.pk in begun)
    Material.objects.bulk_update(locked, ["supplier", "family", "kept_as", "cost_method"])
    if place:
        Lot.objects.filter(material__in=locked, remaining__gt=0).update(place=place)
    return len(locked)


def _keep_as(material: Material, kept_as: str, *, has_begun: bool) -> None:
    """Keep `material` another way: only before its journal begins, and in a unit that fits."""
    if has_begun:
        raise Refusal(f"{material} has stock entries, so how it is kept is fixed.", field="kept_as")
    if material.unit not in {unit.code for unit in UNITS_BY_KIND[kept_as]}:
        raise Refusal(
            f"{material} is counted in {material.unit_word}: edit its unit together with how it is "
            "kept.",
            field="kept_as",
        )
    material.kept_as = kept_as
    material.cost_method = CostMethod.fitting(kept_as, material.cost_method)
