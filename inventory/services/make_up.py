"""Make up stock from other stock: string sets, wiring kits, the shop's own parts."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.locking import lock_materials
from inventory.models import Lot, Reason, Recipe
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.stock_refusals import check_quantity
from inventory.told import told


@transaction.atomic
def make_up(
    *, recipe: Recipe, quantity: Decimal, now: datetime, note: str = "", user: Any = None
) -> Lot:
    """Put `quantity` (base units) of what the recipe makes on the shelf, at the cost of its parts.

    Each part's entry names the new lot as its holder, such as `lot:S-0004`. Parts that the books
    lack are taken all the same and marked to be reconciled. Raises Refusal without parts.
    """
    parts = list(recipe.parts.select_related("material"))
    if not parts:
        raise Refusal(f"{recipe.material} has no parts yet: say first what it is made up of.")
    locked = lock_materials([recipe.material, *(part.material for part in parts)])
    material = locked[recipe.material_id]
    quantity = check_quantity(material, quantity)
    circumstances = told(now, None, user)
    lot = make_lot(material=material, received_on=timezone.localtime(now).date(), note=note)
    cost = Decimal(0)
    for part in parts:
        entries = take_from_shelf(
            material=locked[part.material_id],
            quantity=check_quantity(part.material, part.quantity * quantity),
            reason=Reason.MADE,
            told=circumstances,
            holder=f"lot:{lot.number}",
        )
        cost -= sum((entry.cost for entry in entries), Decimal(0))
    post_entry(
        material=material,
        lot=lot,
        reason=Reason.MADE,
        quantity=quantity,
        cost=cost,
        told=circumstances,
        note=note,
    )
    return lot
