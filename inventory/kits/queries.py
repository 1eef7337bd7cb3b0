"""Made-up stock: what it costs today, and how much of it can still be made."""

from decimal import Decimal

from django.db.models import QuerySet

from inventory.base.calc.units import from_base
from inventory.kits.calc import Makeable, makeable
from inventory.models import Recipe


def recipes() -> QuerySet[Recipe]:
    """Every recipe with what it makes and its parts."""
    return Recipe.objects.select_related("material", "string_set").prefetch_related(
        "parts__material"
    )


def still_makeable(recipe: Recipe) -> Makeable:
    """How many units the free stock of the parts still makes, and what limits it, by name."""
    parts = list(recipe.parts.all())
    if not parts:
        return Makeable(count=0, limited_by=(), allowed=())
    return makeable(
        {part.material.name: part.quantity for part in parts},
        {part.material.name: part.material.free for part in parts},
    )


def parts_replacement_cost(recipe: Recipe) -> Decimal:
    """What the parts of one unit cost to buy again, unrounded; a part without a price counts 0."""
    return sum(
        (
            (part.material.replacement_price or Decimal(0))
            * from_base(part.quantity, part.material.unit)
            for part in recipe.parts.all()
        ),
        Decimal(0),
    )
