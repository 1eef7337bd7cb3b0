"""Recipes written, and stock made up by them."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_quantity
from inventory.ledger.services.context import posting_context
from inventory.ledger.services.issue import issue_stock
from inventory.ledger.services.lots import make_lot
from inventory.ledger.services.post import post_entry
from inventory.models import Lot, Material, Reason, Recipe, RecipePart, StockEntry
from inventory.shelf.services.moves import draw_stock

DEEPEST = 20


@transaction.atomic
def save_recipe(*, material: Material, parts: Sequence[tuple[Material, Decimal]]) -> Recipe:
    """Replace the recipe of `material`; quantities in base units, for one as kept.

    Raises Refusal for parts named twice, or something made up of itself by any way round.
    """
    names = [part.pk for part, _ in parts]
    if len(names) != len(set(names)):
        raise Refusal("Each part can be listed only once: add its quantities together.")
    recipe, _ = Recipe.objects.get_or_create(material=material)
    recipe.parts.all().delete()
    RecipePart.objects.bulk_create(
        RecipePart(recipe=recipe, material=part, quantity=check_quantity(part, quantity))
        for part, quantity in parts
    )
    if material.pk in _all_parts(names):
        raise Refusal(f"{material} can't be a part of itself.")
    return recipe


def _all_parts(keys: Sequence[int]) -> set[int]:
    """Keys of `keys` and of everything that those are made up of."""
    found: set[int] = set()
    frontier = set(keys)
    for _ in range(DEEPEST):
        found |= frontier
        rows = RecipePart.objects.filter(recipe__material__in=frontier)
        frontier = set(rows.values_list("material", flat=True)) - found
        if not frontier:
            break
    return found


@transaction.atomic
def make_kit(
    *, recipe: Recipe, quantity: Decimal, now: datetime, note: str = "", user: Person | None = None
) -> Lot:
    """Put `quantity` (base units) of what the recipe makes on the shelf, at the cost of its parts.

    Each part's entry names the new lot as its holder, such as `lot:S-0004`. Parts that the books
    lack are taken all the same and marked to be reconciled. Raises Refusal without parts.
    """
    parts = list(recipe.parts.select_related("material"))
    if not parts:
        raise Refusal(f"{recipe.material} has no parts yet. Enter its parts first.")
    locked = lock_materials([recipe.material, *(part.material for part in parts)])
    material = locked[recipe.material_id]
    quantity = check_quantity(material, quantity)
    posting = posting_context(now, None, user)
    lot = make_lot(material=material, received_on=timezone.localtime(now).date(), note=note)
    cost = Decimal(0)
    for part in parts:
        entries = issue_stock(
            material=locked[part.material_id],
            quantity=check_quantity(part.material, part.quantity * quantity),
            reason=Reason.MADE,
            posting=posting,
            holder=f"lot:{lot.number}",
        )
        cost -= sum((entry.cost for entry in entries), Decimal(0))
    post_entry(
        material=material,
        lot=lot,
        reason=Reason.MADE,
        quantity=quantity,
        cost=cost,
        posting=posting,
        note=note,
    )
    return lot


@transaction.atomic
def draw_kit(
    *,
    recipe: Recipe,
    quantity: Decimal,
    holder: str,
    now: datetime,
    line: str = "",
    user: Person | None = None,
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
