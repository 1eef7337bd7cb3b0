"""Note what a material costs to buy again, and what it would fetch."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.models import Material, PriceKind, PriceNote
from inventory.refusals import Refusal


@transaction.atomic
def note_price(
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
        raise Refusal("A price is 0 or more.", field="price")
    Material.objects.select_for_update().get(pk=material.pk)
    _note(material, PriceKind.REPLACEMENT, price, on)
    _note(material, PriceKind.REALISABLE, realisable, on)
    asked, fetched = _last(material, PriceKind.REPLACEMENT), _last(material, PriceKind.REALISABLE)
    material.replacement_price = asked.price if asked else None
    material.replacement_checked_on = asked.noted_on if asked and asked.price is not None else None
    material.realisable_price = fetched.price if fetched else None
    material.save(update_fields=["replacement_price", "replacement_checked_on", "realisable_price"])
    return material


def _note(material: Material, kind: PriceKind, price: Decimal | None, on: date) -> None:
    """Add to the history what says something new; that a price holds still is new for a day."""
    last = material.price_notes.filter(kind=kind, noted_on__lte=on).last()
    known, known_on = (last.price, last.noted_on) if last else (None, None)
    if price == known and (price is None or known_on == on):
        return
    PriceNote.objects.create(
        material=material,
        supplier=None if kind == PriceKind.REALISABLE else material.supplier,
        noted_on=on,
        kind=kind,
        price=price,
    )


def _last(material: Material, kind: PriceKind) -> PriceNote | None:
    return material.price_notes.filter(kind=kind).last()
