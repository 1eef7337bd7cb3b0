"""What pages that propose pieces have in common: which one comes first, turned on the spot."""

from django.http import HttpRequest

from inventory.models import TakeFirst
from shop.calc.proposals import First

MOST_SHOWN = 40
"""A page shows so many pieces of each sort: the best ones of a large shelf."""


def first_asked(request: HttpRequest) -> First | None:
    """Return which piece the address asks to come first, or None for the shop's own preference."""
    asked = request.GET.get("first", "")
    return asked if asked in TakeFirst.values else None  # type: ignore[return-value]


def first_tabs(current: First) -> list[tuple[str, str, bool]]:
    """Return the tabs that turn the order."""
    return [
        (str(word).capitalize(), f"?first={key}", key == current) for key, word in TakeFirst.choices
    ]
