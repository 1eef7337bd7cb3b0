"""Pages that only an owner may read."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase

from inventory.base.roles import OWNER, role_of

View = Callable[..., HttpResponseBase]


def owners_only(view: View) -> View:
    """Refuse everybody but owners, also for reading."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if role_of(request.user) != OWNER:
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return wrapped
