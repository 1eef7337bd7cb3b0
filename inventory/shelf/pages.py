"""The way to a material's page, and what addresses of stock carry."""

from django.urls import reverse

from inventory.base.pages import stock_trail
from inventory.models import Material


def page_of(row: Material) -> str:
    """Return the address of a material's page."""
    return reverse("material", args=[row.pk])


def trail_of(row: Material) -> tuple[tuple[str, str], ...]:
    """Return the way to a page about `row`."""
    return stock_trail((row.name, page_of(row)))


def key_typed(typed: str | None) -> int | None:
    """Return the key in an address, or None for anything else."""
    return int(typed) if typed and typed.isdigit() and len(typed) < 19 else None
