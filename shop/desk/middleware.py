"""What every page needs first: the workshop, its time zone, and the right to change things."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import DatabaseError, DataError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Exists, Subquery
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port, validate_host
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.middleware.http import ConditionalGetMiddleware
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.base.calc.public_address import host_of
from inventory.base.roles import BENCH_ROLES, role_of
from inventory.base.turns import RETRY_AFTER_S, PressBusy
from inventory.base.wood_units import measured_in
from inventory.models import Workshop
from shop.copies.services import copy_in_the_background
from shop.hours.queries.clock import run_past_midnight, running_entries
from shop.hours.services.clock import pause_past_midnight
from shop.workshop.queries import units_of

OPEN_BEFORE_FIRST_RUN = ("/first-run/", "/faces/", "/api/")
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
Answer = Callable[[HttpRequest], HttpResponse]
API = "/api/"
WORDS = ("text/", "application/json", "application/problem+json", "image/svg+xml")
"""What packs well; papers, photos and workbooks are packed as they are."""


def workshop_middleware(get_response: Answer) -> Answer:
    """Put the workshop on the request, with its time zone and units; lead a new shop to its start.

    A clock that ran into another day is paused before anything is shown. What is sent comes first:
    a phone that was without signal may still tell when the clock was stopped.
    """
    any_clock = Exists(running_entries())

    def middleware(request: HttpRequest) -> HttpResponse:
        own_units = Subquery(units_of(_signed_in(request)))
        rows = Workshop.objects.annotate(clock_runs=any_clock, own_units=own_units)
        workshop = rows.first()
        request.workshop = workshop  # type: ignore[attr-defined]
        if workshop:
            units = workshop.own_units or workshop.units
            with timezone.override(ZoneInfo(workshop.time_zone)), measured_in(units):
                if workshop.clock_runs and request.method in SAFE_METHODS:
                    _pause_past_midnight(timezone.now())
                return get_response(request)
        if request.path.startswith(OPEN_BEFORE_FIRST_RUN):
            return get_response(request)
        return redirect("first_run")

    return middleware


def _signed_in(request: HttpRequest) -> int | None:
    """Return who has a session; a client or a phone without one is not asked about."""
    return request.user.pk if settings.SESSION_COOKIE_NAME in request.COOKIES else None


def _pause_past_midnight(now: datetime) -> None:
    if run_past_midnight(now).exists():  # asked first: a pause has to wait for whoever writes
        pause_past_midnight(now=now)


def printable_query_middleware(get_response: Answer) -> Answer:
    """Drop the NUL character from what a page is asked for: PostgreSQL can't compare text with it.

    The API is left alone; it answers that the character is not allowed.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        query = request.META.get("QUERY_STRING", "")
        if "%00" in query and not request.path.startswith("/api/"):
            request.META["QUERY_STRING"] = query.replace("%00", "")
        return get_response(request)

    return middleware


class RolesMiddleware:
    """Refuses a form from somebody whose role may not send it.

    Pages are written by owners and makers, unless `allow_roles` says otherwise; the API has its
    own permissions.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        is_api = hasattr(view, "cls")
        if is_api or request.method in SAFE_METHODS or not request.user.is_authenticated:
            return None
        if role_of(request.user) in getattr(view, "write_roles", BENCH_ROLES):
            return None
        return render(request, "403.html", status=403)


class TooFarMiddleware:
    """Answers a number or a day that no database holds, instead of breaking; nothing is written."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, OverflowError | DataError):
            return render(request, "400.html", status=400)
        return None


class PressBusyMiddleware:
    """Says that other papers are being printed; a browser that only reads asks again by itself."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, PressBusy):
            return None
        again = RETRY_AFTER_S if request.method in SAFE_METHODS else 0
        page = render_to_string("press_busy.html", {"sentence": error.sentence, "again": again})
        return HttpResponse(page, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})


class DailyCopyMiddleware:
    """Begins the day's copy of the books at the first request of a day, beside the answer."""

    day: date | None = None
    """The day for which this process has seen to it."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        on = timezone.localdate()
        if settings.COPIES_DAILY and DailyCopyMiddleware.day != on:
            DailyCopyMiddleware.day = on
            copy_in_the_background(on=on)
        return self.get_response(request)


class HealthMiddleware:
    """Answers `/health/` and `/ready/` before anything else, to whoever watches over the process.

    Healthy is a process that answers; ready is one whose database answers too, and has its tables
    as this version needs them. Nothing of the workshop is told.
    """

    is_up_to_date = False

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == "/health/":
            return HttpResponse("healthy\n", content_type="text/plain")
        if request.path_info == "/ready/":
            is_ready = self._is_ready()
            words = "ready\n" if is_ready else "not ready\n"
            return HttpResponse(words, status=200 if is_ready else 503, content_type="text/plain")
        return self.get_response(request)

    def _is_ready(self) -> bool:
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1")
            if not HealthMiddleware.is_up_to_date:
                loader = MigrationExecutor(connection).loader
                HealthMiddleware.is_up_to_date = set(loader.graph.nodes) <= set(
                    loader.applied_migrations
                )
        except DatabaseError:
            return False
        return HealthMiddleware.is_up_to_date


class PublicHostMiddleware:
    """Lets clients in by the host of the workshop's public address, which is named there only.

    Another name than those the program was started with is looked up once, and then known to this
    process. An address that was replaced opens until the next start.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        host, _ = split_domain_port(request.headers.get("Host", ""))
        if host and not validate_host(host, settings.ALLOWED_HOSTS) and host == _public_host():
            settings.ALLOWED_HOSTS.append(host)
        return self.get_response(request)


def _public_host() -> str:
    return host_of(Workshop.objects.values_list("public_address", flat=True).first() or "")


class PackedMiddleware:
    """Packs what is made of words, and answers the API's readers 304 while nothing has changed.

    An answer that brings its own version stays as it is: `If-Match` names it to the letter.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.unchanged = ConditionalGetMiddleware(get_response)
        self.pack = GZipMiddleware(get_response)

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response: HttpResponseBase = self.get_response(request)
        has_own_version = response.has_header("ETag")
        if request.path.startswith(API) and request.method in {"GET", "HEAD"}:
            # To be kept by whom it was sent to only, and asked for again each time.
            response.headers.setdefault("Cache-Control", "private, no-cache")
            if not response.streaming:
                response = self.unchanged.process_response(request, response)
        if has_own_version:
            return response
        if response.get("Content-Type", "").startswith(WORDS):
            response = self.pack.process_response(request, response)
        return response
