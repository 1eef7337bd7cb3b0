"""What every desk page shows around its content."""

from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

NAVIGATION = (
    ("Today", "today"),
    ("Clients", "clients"),
    ("Quotes", "quotes"),
    ("Builds", "builds"),
    ("Queue", "queue"),
    ("Hours", "hours"),
    ("Stock", "stock"),
    ("Templates", "templates"),
    ("Books", "books"),
    ("Workshop", "workshop"),
)
THEMES = ("light", "dark", "contrast")


def desk(request: HttpRequest) -> dict[str, Any]:
    """Return the workshop, the theme chosen on this device, and the way round."""
    theme = request.COOKIES.get("theme", "")
    return {
        "workshop": getattr(request, "workshop", None),
        "theme": theme if theme in THEMES else "",
        "nav": [(label, url, _is_within(request.path, url)) for label, url in _reachable()],
    }


def _is_within(path: str, url: str) -> bool:
    return path == url if url == "/" else path.startswith(url)


def _reachable() -> list[tuple[str, str]]:
    found = []
    for label, name in NAVIGATION:
        try:
            found.append((label, reverse(name)))
        except NoReverseMatch:
            continue
    return found
