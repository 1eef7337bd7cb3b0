"""Add a person, and choose the units one person sees."""

from typing import Any

from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.base.refusals import Refusal
from inventory.base.roles import ROLE_WORDS, ROLES
from inventory.models import Workshop
from shop.models import Preference


@transaction.atomic
def add_person(*, username: str, password: str, role: str, first_name: str = "") -> User:
    """Return a new user with `role`. Raises Refusal for a taken name or a weak password."""
    if User.objects.filter(username__iexact=username).exists():
        raise Refusal(f"The user name {username} is taken.", field="username")
    if role not in ROLES:
        raise Refusal(f"Choose a role: {', '.join(ROLE_WORDS.values())}.", field="role")
    try:
        validate_password(password)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="password") from None
    user = User.objects.create_user(username, password=password, first_name=first_name)
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


CHOICES = ("", Workshop.METRIC, Workshop.IMPERIAL)


@transaction.atomic
def choose_units(*, person: Any, units: str) -> Preference:
    """Keep what `person` chose; nothing means the workshop's own.

    Raises Refusal on another word.
    """
    if units not in CHOICES:
        raise Refusal(
            f"Units are {Workshop.METRIC} or {Workshop.IMPERIAL}, or empty for the workshop’s.",
            field="units",
        )
    return Preference.objects.update_or_create(user=person, defaults={"units": units})[0]
