"""What to buy by the queue, as far ahead as is asked, with sums by supplier and month."""

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from shop.queue.forms import HorizonForm
from shop.queue.queries.buying import sums_of, to_order
from shop.queue.queries.forecast import queue_on

DAYS_A_MONTH = 30.5


def queue_buying(request: HttpRequest) -> HttpResponse:
    """Show by when what builds lack is needed, by when to order it, and what it comes to."""
    on = timezone.localdate()
    form = HorizonForm(request.GET or None)
    try:
        rows = to_order(queue_on(on))
    except Refusal as refusal:
        return render(request, "shop/queue/buying.html", {"refusal": refusal}, status=422)
    ahead = form.cleaned_data["months"] if form.is_valid() else ""
    if ahead:
        last = on + timedelta(days=int(int(ahead) * DAYS_A_MONTH))
        rows = [row for row in rows if row.order_by <= last]
    context = {
        "rows": rows,
        "sums": sums_of(rows, on),
        "form": form,
        "currency": home_currency(),
    }
    return render(request, "shop/queue/buying.html", context)
