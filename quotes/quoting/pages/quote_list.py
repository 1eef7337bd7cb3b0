"""The list of quotes."""

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.lists import asks_for_file, in_order, in_parts, list_file, listing
from quotes.quoting.queries.quote_list import GROUPS, quotes_in, standings
from quotes.quoting.tables import QUOTE_COLUMNS, SHOWN

TABS = {"open": "Open", "accepted": "Accepted", "past": "Closed", "all": "All"}


def quotes(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Show quotes by where they stand."""
    on = timezone.localdate()
    group = request.GET.get("show", "open")
    group = group if group in TABS else "open"
    search = request.GET.get("q", "").strip()
    rows = quotes_in(group, search)
    if asks_for_file(request):
        told = in_parts(in_order(request, rows, QUOTE_COLUMNS), lambda part: standings(part, on))
        return list_file("quotes", told, QUOTE_COLUMNS, on)
    shown = listing(request, rows, SHOWN)
    context = {
        "list": shown,
        "rows": standings(shown.page.object_list, on),
        "tabs": [(word, _with(request, show=key), key == group) for key, word in TABS.items()],
        "group": group,
        "search": search,
        "is_filtered": bool(search) or group not in GROUPS,
    }
    return render(request, "quotes/quoting/quotes.html", context)


def _with(request: HttpRequest, **said: str) -> str:
    """Return the address of the list with `said` in it, its other filters kept."""
    query = request.GET.copy()
    query.pop("page", None)
    for name, value in said.items():
        query[name] = value
    return f"?{query.urlencode()}"
