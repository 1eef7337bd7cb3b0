"""Whom a command is about."""

from django.contrib.auth.models import User
from django.core.management.base import CommandError


def person_named(name: str) -> User:
    """Return the person who signs in as `name`. Raises CommandError with the names there are."""
    person = User.objects.filter(username=name).first()
    if person is None:
        names = ", ".join(User.objects.order_by("username").values_list("username", flat=True))
        raise CommandError(f"Nobody signs in as {name}. There are: {names or 'nobody yet'}.")
    return person
