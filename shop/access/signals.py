"""What sign-ins, failures and locks leave in the session and in the access log."""

from typing import Any

from axes.signals import user_locked_out
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.http import HttpRequest
from django.utils import timezone

from shop.access.bookkeeping import ONE_LOCK, WRONG_CODE, Act, log_access
from shop.access.middleware import address_of
from shop.access.pages.doors import note_confirmed
from shop.access.queries import SIGNED_IN
from shop.models import AccessEntry


def note_signals() -> None:
    """Have sign-ins, failures and locks written into the access log."""
    user_logged_in.connect(_signed_in, dispatch_uid="access log")
    user_logged_out.connect(_signed_out, dispatch_uid="access log")
    user_login_failed.connect(_failed, dispatch_uid="access log")
    user_locked_out.connect(_locked, dispatch_uid="access log")


def _signed_in(request: HttpRequest, user: Any, **more: Any) -> None:
    now = timezone.now()
    request.session[SIGNED_IN] = {
        "at": now.isoformat(),
        "address": address_of(request),
        "browser": request.META.get("HTTP_USER_AGENT", "")[:200],
    }
    note_confirmed(request)
    log_access(act=Act.SIGNED_IN, person=user.get_username(), now=now, address=address_of(request))


def _signed_out(request: HttpRequest, user: Any, **more: Any) -> None:
    if user is not None:
        log_access(
            act=Act.SIGNED_OUT,
            person=user.get_username(),
            now=timezone.now(),
            address=address_of(request),
        )


def _failed(credentials: dict[str, Any], request: HttpRequest | None = None, **more: Any) -> None:
    what = str(credentials.get("what", ""))
    # A lock is one line, however often tried; but every wrong code counts, whatever its address.
    if getattr(request, "axes_locked_out", False) and what != WRONG_CODE:
        return
    log_access(
        act=Act.FAILED,
        person=str(credentials.get("username", "")),
        now=timezone.now(),
        address=address_of(request),
        detail=what,
    )


def _locked(request: HttpRequest, username: str = "", **more: Any) -> None:
    now, address = timezone.now(), address_of(request)
    is_noted = AccessEntry.objects.filter(
        act=Act.LOCKED, person=username, address=address, at__gt=now - ONE_LOCK
    )
    if not is_noted.exists():
        log_access(act=Act.LOCKED, person=username, now=now, address=address)
