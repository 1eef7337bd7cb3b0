"""People let in and kept out, their passwords and sessions."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from axes.utils import reset
from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction
from knox.models import AuthToken

from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, ROLE_WORDS, ROLES
from shop.access.bookkeeping import Act, log_access
from shop.access.queries import owners, sessions_of
from shop.models import CalendarLink, PairingCode, SecondFactor


@transaction.atomic
def add_person(
    *,
    username: str,
    password: str,
    role: str,
    now: datetime,
    first_name: str = "",
    by: str = "",
) -> User:
    """Return a new user with `role`. Raises Refusal for a taken name or a weak password."""
    if User.objects.filter(username__iexact=username).exists():
        raise Refusal(f"The user name {username} is taken.", field="username")
    _check_role(role)
    person = User(username=username, first_name=first_name)
    try:
        UnicodeUsernameValidator()(username)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="username") from None
    check_password_of(person=person, password=password)
    person.set_password(password)
    person.save()
    person.groups.add(_group(role))
    log_access(act=Act.ADDED, person=username, by=by, now=now, detail=ROLE_WORDS[role])
    return person


def check_password_of(*, person: User, password: str) -> None:
    """Raise Refusal for a password too short, too common or too like the person's own name."""
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="password") from None


@transaction.atomic
def set_password(
    *, person: User, password: str, now: datetime, by: str = "", keep: str = ""
) -> User:
    """Give `person` a new password and return them; sessions other than `keep` end at once.

    Sign-ins that were locked for the person are open again. Raises Refusal for a weak password.
    """
    check_password_of(person=person, password=password)
    person.set_password(password)
    person.save(update_fields=["password"])
    _end_sessions(person, now, keep)
    reset(username=person.get_username())
    log_access(act=Act.NEW_PASSWORD, person=person.get_username(), by=by, now=now)
    return person


@transaction.atomic
def set_role(*, person: User, role: str, now: datetime, by: str = "") -> User:
    """Give `person` another role. Raises Refusal where the workshop would be without an owner."""
    _check_role(role)
    if role != OWNER:
        _check_owner_stays(person)
        person.is_superuser = person.is_staff = False
        person.save(update_fields=["is_superuser", "is_staff"])
    person.groups.set([_group(role)])
    log_access(
        act=Act.NEW_ROLE, person=person.get_username(), by=by, now=now, detail=ROLE_WORDS[role]
    )
    return person


@transaction.atomic
def end_access(*, person: User, now: datetime, by: str = "") -> User:
    """Keep `person` out from now on: sessions, devices, pairing codes and calendar links end.

    So does their second factor, whose phone they may no longer have when they come again.
    A calendar link is nobody's own, so all of them end. What the person did keeps their name.
    Raises Refusal for the last owner.
    """
    _check_owner_stays(person)
    person.is_active = False
    person.save(update_fields=["is_active"])
    _end_sessions(person, now)
    AuthToken.objects.filter(user=person).delete()
    PairingCode.objects.filter(user=person).delete()
    SecondFactor.objects.filter(person=person).delete()
    CalendarLink.objects.filter(revoked_at=None).update(revoked_at=now)
    log_access(act=Act.ENDED, person=person.get_username(), by=by, now=now)
    return person


@transaction.atomic
def admit_again(*, person: User, password: str, now: datetime, by: str = "") -> User:
    """Let `person` in again, with a new password and the role they had."""
    person.is_active = True
    person.save(update_fields=["is_active"])
    set_password(person=person, password=password, now=now, by=by)
    log_access(act=Act.ADMITTED, person=person.get_username(), by=by, now=now)
    return person


@transaction.atomic
def end_other_sessions(*, person: User, now: datetime, keep: str = "") -> int:
    """End all sessions of `person` except `keep`; return how many there were."""
    ended = _end_sessions(person, now, keep)
    log_access(
        act=Act.SESSIONS_ENDED, person=person.get_username(), now=now, detail=f"{ended} ended"
    )
    return ended


def _end_sessions(person: User, now: datetime, keep: str = "") -> int:
    keys: Iterable[str] = [one.key for one in sessions_of(person.pk, now) if one.key != keep]
    Session.objects.filter(session_key__in=keys).delete()
    return len(list(keys))


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise Refusal(f"Choose a role: {', '.join(ROLE_WORDS.values())}.", field="role")


def _check_owner_stays(person: User) -> None:
    # Locked, so that two owners can't end each other at the same moment.
    keys: list[Any] = sorted(owners().values_list("pk", flat=True))
    list(User.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    left = set(owners().values_list("pk", flat=True))
    if left == {person.pk}:
        raise Refusal(
            f"{person.get_username()} is the only owner. Give another person the role of owner "
            "first.",
            field="role",
        )


def _group(role: str) -> Group:
    return Group.objects.get_or_create(name=role)[0]
