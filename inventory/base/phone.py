"""Addresses for a phone: what a label's code and a pairing code open."""

from django.conf import settings
from django.http import HttpRequest

ONLY_HERE = {"localhost", "127.0.0.1", "[::1]"}


def phone_address(request: HttpRequest, path: str) -> str:
    """Return the address of `path` for a phone: the shop's own if it has one, else as asked for."""
    if settings.PHONE_URL:
        return f"{settings.PHONE_URL}{path}"
    return request.build_absolute_uri(path)


def is_reachable(request: HttpRequest) -> bool:
    """Say whether a phone can get here at all: not while the program answers this machine only."""
    host = request.get_host().rsplit(":", 1)[0]
    return bool(settings.PHONE_URL) or host not in ONLY_HERE
