"""What if, and a suggested order: before and after, side by side."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from shop.queue.forms import WhatIfForm
from shop.queue.queries.books import QueueBooks
from shop.queue.queries.forecast import queue_on
from shop.queue.queries.trying import (
    MOST_MOVED,
    Trial,
    compare,
    suggestion,
    with_new_build,
)


def what_if(request: HttpRequest) -> HttpResponse:
    """Try a change on the queue. Nothing is saved."""
    form = WhatIfForm(request.GET or None)
    context: dict[str, Any] = {"form": form}
    if request.GET and form.is_valid():
        with refusals_on(form):
            books = queue_on(timezone.localdate()).books
            context["comparison"] = compare(books, tried(books, form.cleaned_data))
    return render_form(request, "shop/queue/what_if.html", context)


def suggested(request: HttpRequest) -> HttpResponse:
    """Show that an order is looked for, then the order and what each build gains or loses by it."""
    if "search" not in request.GET:
        return render(request, "shop/queue/suggested.html", {"searching": True})
    try:
        found = suggestion(queue_on(timezone.localdate()).books)
    except Refusal as refusal:
        return render_form(request, "shop/queue/suggested.html", {"refusal": refusal})
    return render(request, "shop/queue/suggested.html", {"found": found, "most": MOST_MOVED})


def tried(books: QueueBooks, asked: dict[str, Any]) -> QueueBooks:
    """Return the books as a form asks for them."""
    days_off = (asked["first"], asked["last"]) if asked.get("first") else None
    trial = Trial(
        move=f"{asked['move'].pk}" if asked.get("move") else "",
        place=asked.get("place") or 1,
        drop=f"{asked['drop'].pk}" if asked.get("drop") else "",
        days_off=days_off,
        thing=asked["thing"].name if asked.get("thing") else "",
        more=asked.get("more") or 0,
        hours_a_week=float(asked.get("hours_a_week") or 0),
    )
    after = trial.of(books)
    if asked.get("accept"):
        template = asked["accept"]
        place = asked.get("accept_place")
        after = with_new_build(after, template, title=f"{template}", place=place)
    return after
