"""Draw the parts of a recipe straight for a holder, without putting the whole on the shelf."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Recipe, StockEntry
from inventory.services.draw_stock import draw_stock


@transaction.atomic
def draw_made_up(
    *,
    recipe: Recipe,
    quantity: Decimal,
    holder: str,
    now: datetime,
    line: str = "",
    user: Any = None,
) -> list[StockEntry]:
    """Draw for `holder` what `quantity` base units of the recipe's material are made up of."""
    parts = list(recipe.parts.select_related("material"))
    lock_materials([part.material for part in parts])
    return [
        entry
        for part in parts
        for entry in draw_stock(
            material=part.material,
            quantity=part.quantity * quantity,
            holder=holder,
            now=now,
            line=line,
            note=f"for {recipe.material}",
            user=user,
        )
    ]
