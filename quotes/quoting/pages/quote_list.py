"""The list of quotes."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from quotes.quoting.queries.quote_list import GROUPS, quotes_in, standings

TABS = {"open": "Open", "accepted": "Accepted", "past": "Closed", "all": "All"}


def quotes(request: HttpRequest) -> HttpResponse:
    """Show quotes by where they stand."""
    on = timezone.localdate()
    group = request.GET.get("show", "open")
    group = group if group in TABS else "open"
    search = request.GET.get("q", "").strip()
    page = Paginator(quotes_in(group, search), 50).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": standings(page.object_list, on),
        "tabs": [(word, f"?show={key}", key == group) for key, word in TABS.items()],
        "group": group,
        "search": search,
        "is_filtered": bool(search) or group not in GROUPS,
    }
    return render(request, "quotes/quoting/quotes.html", context)
