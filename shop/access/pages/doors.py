"""Pages that only an owner may read, and those that want the password or a code again."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.models import User
from django.contrib.auth.signals import user_login_failed
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from inventory.base.roles import OWNER, role_of
from shop.access.bookkeeping import WRONG_CODE
from shop.access.services.second_factor import WrongCode, take_code

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


def take_typed_code(request: HttpRequest, person: User, code: str) -> None:
    """Take the code that `person` typed; a wrong one counts as a failure to sign in.

    Raises WrongCode and TooManyWrongCodes.
    """
    try:
        take_code(person=person, code=code, now=timezone.now())
    except WrongCode:
        credentials = {"username": person.get_username(), "what": WRONG_CODE}
        user_login_failed.send(sender=__name__, credentials=credentials, request=request)
        raise
