"""Sessions of a person, their second factor, and who owns the workshop."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db.models import Q, QuerySet

from inventory.base.roles import OWNER, strongest_role
from shop.models import SecondFactor

SIGNED_IN = "signed_in"
"""Where a session keeps when, from where and with what its person signed in."""


@dataclass(frozen=True, slots=True)
class OpenSession:
    """A browser in which a person is signed in."""

    key: str
    began: datetime | None
    address: str
    browser: str


def sessions_of(person: int, now: datetime) -> list[OpenSession]:
    """Return the open sessions of a person, the latest first."""
    found = [_session(row.session_key, data) for row, data in _open(now) if _is_of(data, person)]
    return sorted(found, key=lambda one: one.began.timestamp() if one.began else 0, reverse=True)


def everybody() -> QuerySet[User]:
    """Return everybody who may sign in and then who no longer may, by name; with their groups."""
    rows = User.objects.order_by("-is_active", "username").prefetch_related("groups")
    return rows.select_related("second_factor")


def role_in(person: User) -> str:
    """Return the role of one of `everybody`, without asking again; empty for who has none."""
    if person.is_superuser:
        return OWNER
    return strongest_role({group.name for group in person.groups.all()})


def owners() -> QuerySet[User]:
    """Return everybody who may come in as an owner."""
    return User.objects.filter(
        Q(groups__name=OWNER) | Q(is_superuser=True), is_active=True
    ).distinct()


def has_second_factor(person: int) -> bool:
    """Return whether a person is asked for a code when they sign in."""
    return SecondFactor.objects.filter(person=person).exists()


def _open(now: datetime) -> Iterator[tuple[Session, dict[str, Any]]]:
    for row in Session.objects.filter(expire_date__gt=now):
        yield row, row.get_decoded()


def _is_of(data: dict[str, Any], person: int) -> bool:
    return data.get(SESSION_KEY) == str(person)


def _session(key: str, data: dict[str, Any]) -> OpenSession:
    began = data.get(SIGNED_IN, {})
    at = datetime.fromisoformat(began["at"]) if began else None
    return OpenSession(key, at, began.get("address", ""), began.get("browser", ""))
