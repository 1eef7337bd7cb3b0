"""How the pages of the books read what was sent."""

from django.http import HttpRequest, QueryDict


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, also when every field was left empty; None while only looking."""
    return request.POST if request.method == "POST" else None
