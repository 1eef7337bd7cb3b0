"""The way round the stock pages."""

from typing import Any

from django import template
from django.template import Context
from django.urls import reverse

register = template.Library()

TABS = (
    ("Materials", "stock", ()),
    ("To buy", "to_buy", ()),
    ("Orders", "orders", ()),
    ("Deliveries", "deliveries", ()),
    ("Seasoning", "seasoning", ()),
    ("Shelf life", "shelf_life", ()),
    ("Made up", "made_up", ()),
    ("Counts", "counts", ()),
    ("Value", "stock_value", ()),
    ("To reconcile", "to_reconcile", ()),
    ("Lists", "short_list", ("places",)),
)


@register.inclusion_tag("parts/tabs.html", takes_context=True)
def stock_tabs(context: Context) -> dict[str, Any]:
    """The parts of the stock, the one that is shown marked."""
    here = context["request"].path
    addresses = [(word, reverse(name, args=args)) for word, name, args in TABS]
    return {
        "tabs": [(word, address, address == here) for word, address in addresses],
        "label": "Parts of the stock",
    }
