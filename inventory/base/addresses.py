"""Addresses that others open: a phone at the bench, a client far away, a calendar."""

from django.conf import settings
from django.http import HttpRequest

from inventory.base.calc.public_address import host_of, is_local_host


def phone_address(request: HttpRequest, path: str) -> str:
    """Return the address of `path` for a phone: the shop's own if it has one, else as asked for."""
    if settings.PHONE_URL:
        return f"{settings.PHONE_URL}{path}"
    return request.build_absolute_uri(path)


def is_reachable(request: HttpRequest) -> bool:
    """Say whether a phone can get here at all: not while the program answers this machine only."""
    return bool(settings.PHONE_URL) or host_of(request.build_absolute_uri("/")) not in ONLY_HERE


ONLY_HERE = {"localhost", "127.0.0.1", "::1"}


def outside_address(request: HttpRequest, path: str) -> str:
    """Return the address of `path` for anybody: the public one if there is one, else as asked for.

    `opens_outside` says whether it is of use to somebody who is not in the shop.
    """
    public = _public_address(request)
    return f"{public}{path}" if public else request.build_absolute_uri(path)


def opens_outside(request: HttpRequest) -> bool:
    """Say whether an address given to a client opens: it is named, or the host is no local one."""
    return bool(_public_address(request)) or not is_local_host(
        host_of(request.build_absolute_uri("/"))
    )


def _public_address(request: HttpRequest) -> str:
    return getattr(getattr(request, "workshop", None), "public_address", "")
