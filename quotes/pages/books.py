"""The books: who owes what today, and what can be invoiced."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from quotes.queries.books import books_on


def books(request: HttpRequest) -> HttpResponse:
    """Show what is owed today, by whom and how late, and what may be asked for next."""
    on = timezone.localdate()
    return render(request, "quotes/books.html", {"books": books_on(on), "year": on.year})
