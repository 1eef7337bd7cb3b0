"""What the page of the day asks of the books: first steps, and what needs a hand."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inventory.roles import BENCH_ROLES, role_of
from quotes.queries.first_steps import FirstStep, first_steps
from quotes.queries.today import todays_books


def today_books(request: HttpRequest) -> HttpResponse:
    """Show quotes about to lapse, money owed and what clients said, to be set into another page."""
    return render(request, "quotes/today_books.html", {"books": todays_books(timezone.localdate())})


def today_steps(request: HttpRequest) -> HttpResponse:
    """Show a newcomer the first steps, to be set into another page; nothing once they are done."""
    steps = first_steps() if role_of(request.user) in BENCH_ROLES else []
    now = next((step for step in steps if not step.is_done), None)
    rows = [(step, _when(step, now), _url(step)) for step in steps]
    return render(request, "quotes/today_steps.html", {"steps": rows})


def _when(step: FirstStep, now: FirstStep | None) -> str:
    if step.is_done:
        return "done"
    return "now" if step is now else "next"


def _url(step: FirstStep) -> str:
    return reverse(step.page, args=[] if step.key is None else [step.key])
