"""The prices of a material, as the last notes that stand have them."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.db.models import OuterRef, Subquery

from inventory.ledger.queries import is_taken_back
from inventory.models import Material, PriceKind, PriceNote, Reason, StockEntry

COPIED = ["replacement_price", "replacement_checked_on", "realisable_price"]


def take_last_prices(materials: Sequence[Material]) -> None:
    """Copy the last replacement and realisable price to `materials`, which the caller locked."""
    last_asked = last_prices(materials, PriceKind.REPLACEMENT)
    last_fetched = last_prices(materials, PriceKind.REALISABLE)
    for material in materials:
        asked, fetched = last_asked.get(material.pk), last_fetched.get(material.pk)
        material.replacement_price = asked.price if asked else None
        is_known = asked is not None and asked.price is not None
        material.replacement_checked_on = asked.noted_on if asked and is_known else None
        material.realisable_price = fetched.price if fetched else None
    Material.objects.bulk_update(materials, COPIED)


def take_back_lessons(reversed_entries: Iterable[StockEntry]) -> None:
    """Give materials the price they had before what came in by mistake taught them another."""
    lines = {
        entry.lot.delivery_line_id
        for entry in reversed_entries
        if entry.reason == Reason.RECEIVED and entry.lot and entry.lot.delivery_line_id
    }
    taught = PriceNote.objects.filter(delivery_line__in=lines, kind=PriceKind.REPLACEMENT)
    take_last_prices(list(Material.objects.filter(price_notes__in=taught).distinct()))


def last_prices(
    materials: Iterable[Material], kind: PriceKind, by: date | None = None
) -> dict[int, PriceNote]:
    """Return the last note that stands of each material, by its key: one query.

    It is as of the end of the day `by` where one is named.
    """
    notes = PriceNote.objects.filter(kind=kind, material=OuterRef("pk")).exclude(is_taken_back())
    notes = notes.filter(noted_on__lte=by) if by else notes
    latest = Subquery(notes.order_by("-noted_on", "-pk").values("pk")[:1])
    rows = Material.objects.filter(pk__in=[one.pk for one in materials]).order_by()
    last = PriceNote.objects.filter(pk__in=rows.values_list(latest)).order_by()
    return {note.material_id: note for note in last}
