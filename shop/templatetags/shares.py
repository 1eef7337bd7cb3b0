"""How parts of a whole are set."""

from decimal import ROUND_HALF_UP, Decimal

from django import template

register = template.Library()


@register.filter
def percent(part: Decimal | float | None, places: int = 0) -> str:
    """Set 0.805 as 80.5 % with `places` decimals, rounded half up; nothing as a dash."""
    if part is None:
        return "–"
    step = Decimal(1).scaleb(-places)
    shown = (Decimal(str(part)) * 100).quantize(step, rounding=ROUND_HALF_UP)
    return f"{shown} %"
