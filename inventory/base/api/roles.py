"""Roles at the API: everybody with a role reads, a view's `write_roles` write."""

from typing import Any

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from inventory.base.roles import BENCH_ROLES, ROLES, role_of


class RolePermission(BasePermission):
    """Reading needs a role, one of the view's `read_roles` if it has any; writing needs one of its
    `write_roles`."""

    message = "Your role doesn't allow you to edit this. Ask the owner of the workshop."

    def has_permission(self, request: Request, view: Any) -> bool:
        role = role_of(request.user)
        if request.method in SAFE_METHODS:
            return role in getattr(view, "read_roles", ROLES)
        return role in getattr(view, "write_roles", BENCH_ROLES)
