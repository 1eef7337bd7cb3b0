"""The sheet for customs: the species in an instrument, their origin, quantity and papers."""

from collections.abc import Sequence
from datetime import date

from inventory.base.countries import country_name
from inventory.base.documents import page_size, write_pdf
from inventory.models import Lot, Workshop
from inventory.shelf.queries.traces import Contained


def customs_sheet(
    *, title: str, rows: Sequence[Contained], workshop: Workshop | None, on: date
) -> bytes:
    """Return the sheet as PDF. It states what is recorded, and judges nothing.

    What has neither species nor papers is only named, so that nobody takes the sheet for more.
    """
    asked = [row for row in rows if is_asked_for(row.lot)]
    others = dict.fromkeys(row.lot.material.name for row in rows if not is_asked_for(row.lot))
    context = {
        "title": title,
        "rows": [(row, country_of(row.lot)) for row in asked],
        "others": tuple(others),
        "shop": workshop,
        "on": on,
        "size": page_size(workshop.country if workshop else ""),
    }
    return write_pdf("inventory/papers/customs.html", context)


def is_asked_for(lot: Lot) -> bool:
    """Say whether customs ask for a lot: of a species, or with papers of its own."""
    return lot.material.species_id is not None or bool(lot.papers.all())


def country_of(lot: Lot) -> str:
    """Return the country of harvest in words, or an empty text."""
    return country_name(lot.country) if lot.country else ""
