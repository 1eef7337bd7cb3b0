"""The page of the day."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from shop.desk import queries
from shop.hours.queries.catch_up import reasons_in_use


def today(request: HttpRequest) -> HttpResponse:
    """Show what needs a hand today."""
    now = timezone.now()
    context = {"today": queries.today(now), "now": now, "reasons": reasons_in_use()}
    return render(request, "shop/desk/today.html", context)
