"""How the pages of the books read what was sent."""

from django.http import HttpRequest, HttpResponseRedirect, QueryDict
from django.urls import reverse


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, also when every field was left empty; None while only looking."""
    return request.POST if request.method == "POST" else None


def part_of_quote(pk: int, part: str) -> HttpResponseRedirect:
    """Go back to the part of a quote's page that one came from."""
    return HttpResponseRedirect(f"{reverse('quote', args=[pk])}#{part}")
