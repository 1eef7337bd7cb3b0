"""The way round the stock pages."""

from typing import Any

from django import template
from django.template import Context
from django.urls import reverse

from inventory.base.countries import country_name
from inventory.wood.calc.species import Annotation
from inventory.wood.queries import annotations_in

register = template.Library()

TABS = (
    ("Materials", "stock", ()),
    ("To buy", "to_buy", ()),
    ("Purchase orders", "orders", ()),
    ("Deliveries", "deliveries", ()),
    ("Drying", "seasoning", ()),
    ("Shelf life", "shelf_life", ()),
    ("Kits", "made_up", ()),
    ("Counts", "counts", ()),
    ("Value", "stock_value", ()),
    ("To reconcile", "to_reconcile", ()),
    ("Lists", "short_list", ("places",)),
)


@register.filter
def country(code: str) -> str:
    """Return the English name of a country by its two letters."""
    return country_name(code) if code else ""


@register.filter
def annotations(listing: str) -> list[Annotation]:
    """Return what the annotations named in a listing cover."""
    return annotations_in(listing)


@register.inclusion_tag("parts/tabs.html", takes_context=True)
def stock_tabs(context: Context) -> dict[str, Any]:
    """The parts of the stock, the one that is shown marked."""
    match = context["request"].resolver_match
    return {
        "tabs": [
            (word, reverse(name, args=args), match is not None and match.url_name == name)
            for word, name, args in TABS
        ],
        "label": "Stock",
    }
