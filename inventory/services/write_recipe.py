"""Write down what a material is made up of."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from inventory.models import Material, Recipe, RecipePart
from inventory.refusals import Refusal
from inventory.stock_refusals import check_quantity

DEEPEST = 20


@transaction.atomic
def write_recipe(*, material: Material, parts: Sequence[tuple[Material, Decimal]]) -> Recipe:
    """Replace the recipe of `material`; quantities in base units, for one as kept.

    Raises Refusal for parts named twice, or something made up of itself by any way round.
    """
    names = [part.pk for part, _ in parts]
    if len(names) != len(set(names)):
        raise Refusal("Each part stands in a recipe once: put its quantities together.")
    recipe, _ = Recipe.objects.get_or_create(material=material)
    recipe.parts.all().delete()
    RecipePart.objects.bulk_create(
        RecipePart(recipe=recipe, material=part, quantity=check_quantity(part, quantity))
        for part, quantity in parts
    )
    if material.pk in _all_parts(names):
        raise Refusal(f"{material} can't be made up of itself.")
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
