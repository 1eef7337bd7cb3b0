"""One search over everything, as a page and as lines below the field on any page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from quotes.search.queries.finding import find, find_of_kind
from quotes.search.queries.kinds import BY_CODE
from quotes.search.services import update_search

LAST_PAGE = 10_000


def search(request: HttpRequest) -> HttpResponse:
    """Show what was found, by kind; Enter on a number that is found once opens its page."""
    typed = request.GET.get("q", "").strip()
    if typed:
        update_search()
    code = _number(request.GET.get("of", ""))
    if code in BY_CODE:
        page = min(max(_number(request.GET.get("page", "")), 1), LAST_PAGE)
        found = find_of_kind(typed, code, page)
        context = {"found": found, "kind": BY_CODE[code], "before": page - 1, "after": page + 1}
        return render(request, "quotes/search/of_kind.html", context)
    found = find(typed)
    if "open" in request.GET and found.only_hit and not found.meant:
        return redirect(found.only_hit.url)
    part = request.htmx and not request.htmx.boosted  # type: ignore[attr-defined]
    template = "quotes/search/found.html" if part else "quotes/search/search.html"
    return render(request, template, {"found": found})


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
