"""The password asked for again before the deepest rights, and what sign-ins leave in the log."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from axes.signals import user_locked_out
from django import forms
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from inventory.base.pages import FormPage, handle_form
from inventory.base.refusals import Refusal
from inventory.base.roles import ROLES, allow_roles
from shop.access.bookkeeping import Act, log_access
from shop.access.queries import SIGNED_IN
from shop.models import AccessEntry

CONFIRMED_AT = "confirmed_at"
ONE_LOCK = timedelta(hours=settings.AXES_COOLOFF_TIME)
HOLDS_FOR = timedelta(minutes=10)
View = Callable[..., HttpResponseBase]


class ConfirmForm(forms.Form):
    """My password once more."""

    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


def is_confirmed(request: HttpRequest) -> bool:
    """Return whether the password was typed in this session within ten minutes."""
    at: float = request.session.get(CONFIRMED_AT, 0.0)
    return bool(0 <= timezone.now().timestamp() - at < HOLDS_FOR.total_seconds())


def asks_password_again(view: View) -> View:
    """Lead to the password first when it was not typed within ten minutes."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if is_confirmed(request):
            return view(request, *args, **kwargs)
        return redirect(f"{reverse('confirm')}?{urlencode({'next': request.path})}")

    return wrapped


@allow_roles(*ROLES)
def confirm(request: HttpRequest) -> HttpResponse:
    """Ask for my password again, then go on to where I was."""
    onward = request.GET.get("next", "")
    if not url_has_allowed_host_and_scheme(onward, {request.get_host()}):
        onward = reverse("today")
    page = FormPage(
        heading="Your password, please",
        do="Continue",
        back=reverse("today"),
        lede="What you asked for needs your password again. It holds for ten minutes.",
    )

    def act(data: dict[str, Any]) -> str:
        name = request.user.get_username()
        if authenticate(request, username=name, password=data["password"]) is None:
            raise Refusal("This is not your password.", field="password")
        _confirm(request)
        log_access(act=Act.CONFIRMED, person=name, now=timezone.now(), address=address_of(request))
        return onward

    return handle_form(request, ConfirmForm(request.POST or None), page, act)


def address_of(request: HttpRequest | None) -> str:
    """Return where a request came from, or an empty string where there was none."""
    return request.META.get("REMOTE_ADDR", "") if request else ""


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
    _confirm(request)
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
    if getattr(request, "axes_locked_out", False):  # a lock is one line, however often tried
        return
    log_access(
        act=Act.FAILED,
        person=str(credentials.get("username", "")),
        now=timezone.now(),
        address=address_of(request),
    )


def _locked(request: HttpRequest, username: str = "", **more: Any) -> None:
    now, address = timezone.now(), address_of(request)
    is_noted = AccessEntry.objects.filter(
        act=Act.LOCKED, person=username, address=address, at__gt=now - ONE_LOCK
    )
    if not is_noted.exists():
        log_access(act=Act.LOCKED, person=username, now=now, address=address)


def _confirm(request: HttpRequest) -> None:
    request.session[CONFIRMED_AT] = timezone.now().timestamp()
