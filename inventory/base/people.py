"""Who acts: somebody who signed in, or nobody."""

from typing import cast

from django.contrib.auth.models import AnonymousUser, User

Person = User | AnonymousUser
"""What a request calls its user."""


def signed_in(user: Person | None) -> User | None:
    """Return whom to write beside what was done; None for the program itself."""
    return user if isinstance(user, User) else None


def who(user: Person) -> User:
    """Return the user of a request that nobody makes without having signed in."""
    return cast(User, user)
