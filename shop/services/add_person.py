"""Let another person in, with a role."""

from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.refusals import Refusal
from inventory.roles import ROLES


@transaction.atomic
def add_person(*, username: str, password: str, role: str, first_name: str = "") -> User:
    """Return a new user with `role`. Raises Refusal for a taken name or a weak password."""
    if User.objects.filter(username__iexact=username).exists():
        raise Refusal(f"Somebody signs in as {username} already.", field="username")
    if role not in ROLES:
        raise Refusal(f"A role is one of {', '.join(ROLES)}.", field="role")
    try:
        validate_password(password)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="password") from None
    user = User.objects.create_user(username, password=password, first_name=first_name)
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user
