"""The sheet for customs: every piece of an instrument, its species, origin and papers."""

from collections.abc import Sequence
from datetime import date

from inventory.base.countries import country_name
from inventory.base.documents import page_size, write_pdf
from inventory.models import Lot, Workshop
from inventory.shelf.queries.traces import Contained


def customs_sheet(
    *, title: str, rows: Sequence[Contained], workshop: Workshop | None, on: date
) -> bytes:
    """Return the sheet as PDF. It states what is kept, and judges nothing."""
    context = {
        "title": title,
        "rows": [(row, country_of(row.lot)) for row in rows],
        "shop": workshop,
        "on": on,
        "size": page_size(workshop.country if workshop else ""),
    }
    return write_pdf("inventory/papers/customs.html", context)


def country_of(lot: Lot) -> str:
    """Return the country of harvest in words, or an empty text."""
    return country_name(lot.country) if lot.country else ""
