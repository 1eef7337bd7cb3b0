"""What is told of each request to whoever watches over the processes: a line, and figures."""

import logging
import os
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.exceptions import MiddlewareNotUsed
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare

Answer = Callable[[HttpRequest], HttpResponse]
log = logging.getLogger("shop.requests")
NOWHERE = "none"
LONGEST_NUMBER = 64
FIGURES = "/metrics/"


class RequestLogMiddleware:
    """Writes a line of each request, where the log is one for programs.

    It tells the pattern of the address and not the address: a client's link is a secret. A number
    that a proxy gave the request (`X-Request-ID`) is told on.
    """

    def __init__(self, get_response: Answer) -> None:
        if not settings.LOG_FOR_PROGRAMS:
            raise MiddlewareNotUsed
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        begun = time.monotonic()
        response = self.get_response(request)
        told = {
            "method": request.method,
            "route": route_of(request),
            "status": response.status_code,
            "seconds": round(time.monotonic() - begun, 4),
        }
        number = request.headers.get("X-Request-ID", "")
        if number.isprintable() and 0 < len(number) <= LONGEST_NUMBER:
            told["request"] = number
        log.info("request", extra={"told": told})
        return response


class FiguresMiddleware:
    """Counts and times requests, and tells the figures at `/metrics/` to who has the token.

    Without a token in the settings there is no such address.
    """

    def __init__(self, get_response: Answer) -> None:
        if not settings.METRICS_TOKEN:
            raise MiddlewareNotUsed
        from prometheus_client import Counter, Histogram

        self.get_response = get_response
        self.requests = Counter(
            "gramil_requests_total", "Requests answered.", ["method", "route", "status"]
        )
        self.seconds = Histogram(
            "gramil_request_seconds", "How long an answer took, in seconds.", ["method", "kind"]
        )

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == FIGURES:
            return self._figures(request)
        begun = time.monotonic()
        response = self.get_response(request)
        method = request.method if request.method in METHODS else NOWHERE
        kind = "api" if request.path_info.startswith("/api/") else "page"
        self.seconds.labels(method, kind).observe(time.monotonic() - begun)
        self.requests.labels(method, route_of(request), response.status_code).inc()
        return response

    def _figures(self, request: HttpRequest) -> HttpResponse:
        sent = request.headers.get("Authorization", "")
        if not constant_time_compare(sent, f"Bearer {settings.METRICS_TOKEN}"):
            return HttpResponse("not found\n", status=404, content_type="text/plain")
        from prometheus_client import CONTENT_TYPE_LATEST

        return HttpResponse(_written(), content_type=CONTENT_TYPE_LATEST)


METHODS = {"GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE"}
"""Of others there may be any number, and each would be a figure of its own."""


def _written() -> bytes:
    """Return the figures: of all processes that serve together, where they share a folder."""
    from prometheus_client import REGISTRY, CollectorRegistry, generate_latest, multiprocess

    if "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
        return bytes(generate_latest(REGISTRY))
    together = CollectorRegistry()
    add_up: Any = multiprocess.MultiProcessCollector
    add_up(together)
    return bytes(generate_latest(together))


def route_of(request: HttpRequest) -> str:
    """Return the pattern that an address fits, such as `quotes/<int:pk>/`; `none` without one."""
    match = request.resolver_match
    return match.route if match else NOWHERE
