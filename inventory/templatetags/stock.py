"""The way round the stock pages."""

from typing import Any

from django import template
from django.template import Context
from django.urls import reverse

from inventory.base.countries import country_name
from inventory.purchasing.queries.orders import order_state
from inventory.shelf.queries.stock import stock_state
from inventory.wood.calc.species import Annotation
from inventory.wood.queries import annotations_in

register = template.Library()
register.filter("stock_state", stock_state)
register.filter("order_state", order_state)

GROUPS = (
    (
        "Shelf",
        (
            ("Materials", "stock", ()),
            ("Drying", "seasoning", ()),
            ("Shelf life", "shelf_life", ()),
            ("Kits", "made_up", ()),
        ),
    ),
    (
        "Buying",
        (
            ("To buy", "to_buy", ()),
            ("Orders", "orders", ()),
            ("Deliveries", "deliveries", ()),
            ("Purchases", "bills", ()),
            ("Prices", "price_table", ()),
        ),
    ),
    (
        "Counting",
        (
            ("Counts", "counts", ()),
            ("To reconcile", "to_reconcile", ()),
            ("Value", "stock_value", ()),
        ),
    ),
    ("Settings", (("Lists", "short_list", ("places",)),)),
)


@register.filter
def country(code: str) -> str:
    """Return the English name of a country by its two letters."""
    return country_name(code) if code else ""


@register.filter
def annotations(listing: str) -> list[Annotation]:
    """Return what the annotations named in a listing cover."""
    return annotations_in(listing)


@register.inclusion_tag("parts/tab_groups.html", takes_context=True)
def stock_tabs(context: Context) -> dict[str, Any]:
    """The parts of the stock, the one that is shown marked."""
    match = context["request"].resolver_match
    here = match.url_name if match else ""
    return {
        "groups": [
            (group, [(word, reverse(name, args=args), name == here) for word, name, args in tabs])
            for group, tabs in GROUPS
        ],
        "label": "Stock",
    }
