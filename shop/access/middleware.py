"""What is done around each request about who may come in."""

from collections.abc import Callable
from ipaddress import ip_network

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from shop.access.calc import client_address, is_named

Answer = Callable[[HttpRequest], HttpResponse]


def client_address_middleware(get_response: Answer) -> Answer:
    """Let all that follows see the client's address behind the proxies that the owner named.

    Once proxies are named, nobody else may say that a request came over HTTPS.
    """
    proxies = [ip_network(one.strip(), strict=False) for one in settings.PROXIES]

    def middleware(request: HttpRequest) -> HttpResponse:
        peer = request.META.get("REMOTE_ADDR", "")
        forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
        if proxies and not is_named(peer, proxies):
            request.META.pop("HTTP_X_FORWARDED_PROTO", None)
        request.META["REMOTE_ADDR"] = client_address(peer, forwarded, proxies)
        return get_response(request)

    return middleware


def address_of(request: HttpRequest | None) -> str:
    """Return where a request came from, or an empty string where there was none."""
    return request.META.get("REMOTE_ADDR", "") if request else ""
