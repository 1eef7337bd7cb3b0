"""How long stock keeps, unopened."""

from datetime import date, timedelta

from inventory.models import Material


def expiry_of(material: Material, received_on: date, printed: date | None) -> date | None:
    """Return the day printed on the pack, or that after which this material no longer keeps."""
    if printed or material.shelf_days is None:
        return printed
    return received_on + timedelta(days=material.shelf_days)
