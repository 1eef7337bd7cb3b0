"""Note what a material costs to buy again, and what it would fetch."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.models import Material, PriceNote
from inventory.refusals import Refusal


@transaction.atomic
def note_price(
    *,
    material: Material,
    price: Decimal | None,
    on: date,
    realisable: Decimal | None = None,
) -> Material:
    """Set the replacement price (home money, one unit as shown) as checked on the day `on`.

    The price joins the material's history. Issued quotes are never reached.
    """
    if (price is not None and price < 0) or (realisable is not None and realisable < 0):
        raise Refusal("A price is 0 or more.", field="price")
    material.replacement_price = price
    material.replacement_checked_on = on if price is not None else None
    material.realisable_price = realisable
    material.save(update_fields=["replacement_price", "replacement_checked_on", "realisable_price"])
    if price is not None:
        PriceNote.objects.create(
            material=material, supplier=material.supplier, noted_on=on, price=price
        )
    return material
