"""The page of the day."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from shop.queries import today as queries


def today(request: HttpRequest) -> HttpResponse:
    """Show what needs a hand today."""
    now = timezone.now()
    return render(request, "shop/today.html", {"today": queries.today(now), "now": now})
