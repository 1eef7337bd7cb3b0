"""Pages that only an owner may read, and those that want the password again."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from inventory.base.roles import OWNER, role_of

CONFIRMED_AT = "confirmed_at"
HOLDS_FOR = timedelta(minutes=10)
View = Callable[..., HttpResponseBase]


def owners_only(view: View) -> View:
    """Refuse everybody but owners, also for reading."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if role_of(request.user) != OWNER:
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return wrapped


def is_confirmed(request: HttpRequest) -> bool:
    """Return whether the password was typed in this session within ten minutes."""
    at: float = request.session.get(CONFIRMED_AT, 0.0)
    return bool(0 <= timezone.now().timestamp() - at < HOLDS_FOR.total_seconds())


def note_confirmed(request: HttpRequest) -> None:
    """Note in the session that the password was typed just now."""
    request.session[CONFIRMED_AT] = timezone.now().timestamp()


def asks_password_again(view: View) -> View:
    """Lead to the password first when it was not typed within ten minutes."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if is_confirmed(request):
            return view(request, *args, **kwargs)
        return redirect(f"{reverse('confirm')}?{urlencode({'next': request.path})}")

    return wrapped
