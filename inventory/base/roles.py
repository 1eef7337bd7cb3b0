"""Who may do what: four roles, kept as Django groups."""

from collections.abc import Callable
from typing import Any, TypeVar

from inventory.base.people import Person

View = TypeVar("View", bound=Callable[..., Any])

OWNER, MAKER, BOOKKEEPER, LOOKER_ON = "owner", "maker", "bookkeeper", "looker-on"
ROLES = (OWNER, MAKER, BOOKKEEPER, LOOKER_ON)
ROLE_WORDS = {role: role for role in ROLES} | {LOOKER_ON: "viewer"}
"""What a role is called on a page."""
BENCH_ROLES = frozenset({OWNER, MAKER})
BOOK_ROLES = frozenset({OWNER, MAKER, BOOKKEEPER})
OWNER_ONLY = frozenset({OWNER})


def strongest_role(names: set[str]) -> str:
    """Return the strongest role among the names of a person's groups, or an empty string."""
    return next((role for role in ROLES if role in names), "")


def role_of(user: Person) -> str:
    """Return the strongest role of `user`, or an empty string. One query, kept on the user."""
    if not user.is_authenticated:
        return ""
    if user.is_superuser:
        return OWNER
    if not hasattr(user, "_gramil_role"):
        names = set(user.groups.values_list("name", flat=True))
        setattr(user, "_gramil_role", strongest_role(names))  # noqa: B010 - a note that the class does not know
    return str(getattr(user, "_gramil_role"))  # noqa: B009


def allow_roles(*roles: str) -> Callable[[View], View]:
    """Mark a page's view as open for forms from `roles`, instead of owners and makers."""

    def mark(view: View) -> View:
        view.write_roles = frozenset(roles)  # type: ignore[attr-defined]
        return view

    return mark
