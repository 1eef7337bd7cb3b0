"""What the words mean, and a guide for the first week."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """Show the vocabulary; a `?` beside a word opens its line."""
    return render(request, "shop/help/words.html")


@require_safe
def first_week(request: HttpRequest) -> HttpResponse:
    """Show a guide for a maker's first week, to be printed."""
    return render(request, "shop/help/first_week.html")
