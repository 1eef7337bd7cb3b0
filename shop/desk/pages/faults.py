"""What is answered when nothing else does: a page for people, problem details for the API."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views import defaults

from inventory.base.api.problems import PROBLEM_JSON, problem_body

SENTENCES = {
    400: "The request can't be read.",
    403: "This is closed to you.",
    404: "There is nothing at this address.",
    500: "Something broke in the program. What was asked for was left undone as a whole.",
}


def unreadable(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer what can't be read."""
    return _problem(request, 400) or defaults.bad_request(request, exception)


def closed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer who may not."""
    return _problem(request, 403) or defaults.permission_denied(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address where nothing is."""
    return _problem(request, 404) or defaults.page_not_found(request, exception)


def broken(request: HttpRequest) -> HttpResponse:
    """Answer after a fault of the program."""
    return _problem(request, 500) or defaults.server_error(request)


def _problem(request: HttpRequest, status: int) -> HttpResponse | None:
    """Return problem details for the API, and None for a page."""
    if not request.path.startswith("/api/"):
        return None
    body: dict[str, Any] = problem_body(status, SENTENCES[status])
    return JsonResponse(body, status=status, content_type=PROBLEM_JSON)
