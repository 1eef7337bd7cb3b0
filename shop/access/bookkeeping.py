"""Lines of the access log, and passwords held against what was typed."""

from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import authenticate
from django.http import HttpRequest

from shop.models import AccessEntry

Act = AccessEntry.Act
FAILURES_STAY = timedelta(days=365)

ONE_LOCK = timedelta(hours=settings.AXES_COOLOFF_TIME)
"""How long whoever failed too often has to wait."""

WRONG_CODE = "wrong code"
"""What the line of a failure says when the password was right and the code was not."""


NOT_YOUR_PASSWORD = "This is not your password."


def is_password_of(request: HttpRequest, name: str, typed: str) -> bool:
    """Return whether `typed` is the password of user `name`; a wrong one counts as a failure."""
    return authenticate(request, username=name, password=typed) is not None


def log_access(
    *,
    act: str,
    person: str,
    now: datetime,
    by: str = "",
    address: str = "",
    detail: str = "",
) -> AccessEntry:
    """Add a line to the access log. Failures older than a year make room for new ones."""
    if act == Act.FAILED:
        AccessEntry.objects.filter(act=act, at__lt=now - FAILURES_STAY).delete()
    return AccessEntry.objects.create(
        at=now,
        act=act,
        person=_printable(person)[:150],
        by="" if by == person else by[:150],
        address=address[:45],
        detail=_printable(detail)[:200],
    )


def _printable(text: str) -> str:
    """Return `text` without what a database can't hold, such as NUL and lone surrogates."""
    return "".join(letter for letter in text if letter.isprintable())
