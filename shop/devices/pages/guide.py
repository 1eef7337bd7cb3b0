"""The guide to the API: the first hour with it, its problems, and every operation."""

from collections import defaultdict
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.base.api.description import described
from inventory.base.api.problems import KINDS


@login_not_required
def api_guide(request: HttpRequest) -> HttpResponse:
    """Show how to begin, and what there is. Open to everyone: it holds nothing of the shop."""
    context = {"problems": [(status, *kind) for status, kind in KINDS.items()], "rooms": _rooms()}
    return render(request, "shop/devices/guide.html", context)


def _rooms() -> list[tuple[str, list[dict[str, Any]]]]:
    """Return the operations by what they are about: each with its method and address."""
    found = defaultdict(list)
    for path, item in described()["paths"].items():
        for method, operation in item.items():
            said, _, roles = operation["description"].rpartition("\n\n")
            found[operation["tags"][0]].append(
                {
                    "method": method.upper(),
                    "path": path,
                    "id": operation["operationId"],
                    "said": said,
                    "roles": roles.removeprefix("Roles: ").rstrip("."),
                }
            )
    return sorted(found.items())
