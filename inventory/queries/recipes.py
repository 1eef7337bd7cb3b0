"""Made-up stock: what it costs today, and how much of it can still be made."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from django.db.models import QuerySet

from inventory.calc.units import from_base
from inventory.models import Material, Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Makeable:
    """How many whole units can be made from what is free, and which part ends it first."""

    quantity: int
    limited_by: Material | None


def recipes() -> QuerySet[Recipe]:
    """Every recipe with what it makes and its parts."""
    return Recipe.objects.select_related("material").prefetch_related("parts__material")


def makeable(recipe: Recipe) -> Makeable:
    """How much of a recipe's material the free stock of its parts still makes."""
    enough = [
        (max(part.material.free, Decimal(0)) / part.quantity, part.material)
        for part in recipe.parts.select_related("material")
    ]
    if not enough:
        return Makeable(quantity=0, limited_by=None)
    least, material = min(enough, key=lambda pair: pair[0])
    return Makeable(
        quantity=int(least.to_integral_value(rounding=ROUND_FLOOR)), limited_by=material
    )


def replacement_cost(recipe: Recipe) -> Decimal:
    """What the parts of one unit cost to buy again, unrounded; a part without a price counts 0."""
    return sum(
        (
            (part.material.replacement_price or Decimal(0))
            * from_base(part.quantity, part.material.unit)
            for part in recipe.parts.select_related("material")
        ),
        Decimal(0),
    )
