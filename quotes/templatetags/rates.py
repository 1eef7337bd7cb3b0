"""How a rate is set on a page: kept as 0.25, read as 25 %."""

from decimal import Decimal

from django import template

from inventory.base.calc.steps import as_percent

register = template.Library()


@register.simple_tag
def percent(rate: Decimal | None) -> str:
    """Set a rate in percent, without idle zeros."""
    return "–" if rate is None else as_percent(rate)
