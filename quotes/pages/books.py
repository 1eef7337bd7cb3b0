"""The books: what is open, by commission."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from quotes.queries.quote_list import quotes_in, standings


def books(request: HttpRequest) -> HttpResponse:
    """Show accepted commissions and what each is worth."""
    rows = standings(quotes_in("accepted"), timezone.localdate())
    return render(request, "quotes/books.html", {"rows": rows})
