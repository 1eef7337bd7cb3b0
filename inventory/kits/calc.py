"""How many of a recipe the free parts make, and what limits it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Makeable:
    """How many of a recipe the free parts make, what limits it, and how many each part allows.

    `limited_by` names every part that runs out first.
    """

    count: int
    limited_by: tuple[str, ...]
    allowed: tuple[tuple[str, int], ...]


def makeable(recipe: Mapping[str, Decimal], free: Mapping[str, Decimal]) -> Makeable:
    """Return how many sets `free` parts make, `recipe` naming how many of each one set takes.

    A part that is not in `free`, or below 0 there, makes none. For string sets, wiring kits and
    anything else made up from stock. Raises ValueError on an empty recipe or a need of 0.
    """
    if not recipe or min(recipe.values()) <= 0:
        raise ValueError("A kit needs at least one part with a quantity.")
    allowed = {
        part: int(max(free.get(part, Decimal(0)) / need, Decimal(0)).to_integral_value(ROUND_FLOOR))
        for part, need in recipe.items()
    }
    count = min(allowed.values())
    return Makeable(
        count=count,
        limited_by=tuple(part for part, most in allowed.items() if most == count),
        allowed=tuple(allowed.items()),
    )
