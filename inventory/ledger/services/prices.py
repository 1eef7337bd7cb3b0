"""The prices of a material, as the last notes that stand have them."""

from collections.abc import Iterable
from datetime import date

from inventory.ledger.queries import is_taken_back
from inventory.models import Material, PriceKind, PriceNote, Reason, StockEntry


def take_last_prices(material: Material) -> Material:
    """Copy the last replacement and realisable price to `material`, whose row the caller locked."""
    asked = last_price(material, PriceKind.REPLACEMENT)
    fetched = last_price(material, PriceKind.REALISABLE)
    material.replacement_price = asked.price if asked else None
    material.replacement_checked_on = asked.noted_on if asked and asked.price is not None else None
    material.realisable_price = fetched.price if fetched else None
    material.save(update_fields=["replacement_price", "replacement_checked_on", "realisable_price"])
    return material


def take_back_lessons(reversed_entries: Iterable[StockEntry]) -> None:
    """Give materials the price they had before what came in by mistake taught them another."""
    lines = {
        entry.lot.delivery_line_id
        for entry in reversed_entries
        if entry.reason == Reason.RECEIVED and entry.lot and entry.lot.delivery_line_id
    }
    taught = PriceNote.objects.filter(delivery_line__in=lines, kind=PriceKind.REPLACEMENT)
    for material in Material.objects.filter(price_notes__in=taught).distinct():
        take_last_prices(material)


def last_price(material: Material, kind: PriceKind, by: date | None = None) -> PriceNote | None:
    """Return the last note that stands, as of the end of the day `by` where one is named."""
    notes = material.price_notes.filter(kind=kind).exclude(is_taken_back())
    return (notes.filter(noted_on__lte=by) if by else notes).last()
