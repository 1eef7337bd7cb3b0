"""How a rate is set on a page: kept as 0.25, read as 25 %."""

from decimal import Decimal

from django import template

from inventory.base.calc.steps import as_percent
from quotes.base.calc.checks import HUNDRED

register = template.Library()


@register.simple_tag
def percent(rate: Decimal | None) -> str:
    """Set a rate in percent, without idle zeros."""
    return "–" if rate is None else as_percent(rate)


@register.filter
def chance(percent: Decimal) -> str:
    """Set a simulated chance in whole percent; at either end as a bound, as no run is certain."""
    if percent <= 0:
        return "under 0.5 %"
    return "over 99.5 %" if percent >= HUNDRED else f"{percent:.0f} %"
