"""The queue by month, and on one sheet for the wall."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.queue.pages.queue import picture_of
from shop.queue.queries.forecast import queue_on
from shop.queue.queries.month import month_of


def queue_month(request: HttpRequest, year: int, month: int) -> HttpResponse:
    """Show a month of the queue, from the one that is running to two years on."""
    on = timezone.localdate()
    first = _first_of(year, month, on)
    if first is None:
        return redirect("queue_month", on.year, on.month)
    context: dict[str, Any] = {
        "first": first,
        "before": _turned(first, -1) if first > on else None,
        "after": _turned(first, 1),
        "on": on,
    }
    try:
        context["weeks"] = month_of(queue_on(on), first)
    except Refusal as refusal:
        context["refusal"] = refusal
    status = 422 if "refusal" in context else 200
    return render(request, "shop/queue/month.html", context, status=status)


@require_safe
def queue_wall(request: HttpRequest) -> HttpResponse:
    """Send the queue as one sheet for the wall."""
    from shop.queue.documents import print_wall_sheet

    on = timezone.localdate()
    try:
        answer = queue_on(on)
    except Refusal as refusal:
        return render(request, "shop/queue/queue.html", {"refusal": refusal}, status=422)
    if not answer.rows:
        return redirect("queue")
    shop = Workshop.objects.get()
    sent = HttpResponse(
        print_wall_sheet(answer, picture_of(answer), shop), content_type="application/pdf"
    )
    sent["Content-Disposition"] = f'inline; filename="queue-{on}.pdf"'
    return sent


def _first_of(year: int, month: int, on: date) -> date | None:
    """Return the first day of a month that the queue knows of; None for another."""
    if not 1 <= month <= 12 or not on.year <= year <= on.year + 2:
        return None
    first = date(year, month, 1)
    return first if first >= on.replace(day=1) else None


def _turned(first: date, months: int) -> date:
    return (first + timedelta(days=31 if months > 0 else -1)).replace(day=1)
