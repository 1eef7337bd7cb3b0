"""What the queue says of a quote, on its page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from quotes.models import Quote
from quotes.quoting.queries.queue import if_yes, waiting_quotes
from shop.queue.pages.queue import lane_of, page_of, picture_of
from shop.queue.queries.forecast import queue_on


def quote_queue(request: HttpRequest, pk: int) -> HttpResponse:
    """Show when the instrument could be ready if the answer is yes today."""
    quote = get_object_or_404(Quote.objects.select_related("template"), pk=pk)
    context: dict[str, object] = {"quote": quote, "currency": home_currency()}
    try:
        context["found"] = if_yes(quote, timezone.localdate())
    except Refusal as refusal:
        context["refusal"] = refusal
    return render(request, "quotes/quoting/parts/quote_queue.html", context)


def queue_picture(request: HttpRequest) -> HttpResponse:
    """Draw the queue with quotes that wait for a yes as faint lanes, on the page of the queue."""
    try:
        answer = queue_on(timezone.localdate())
        waiting = waiting_quotes(answer)
    except Refusal as refusal:
        return render(request, "parts/refusal.html", {"refusal": refusal})
    on = answer.books.on
    lanes = [lane_of(f"{one.quote.title}", one.forecast, on) for one in waiting]
    shown = list(page_of(request, answer))
    context = {"picture": picture_of(answer, lanes, shown), "waiting": waiting}
    return render(request, "quotes/quoting/parts/queue_picture.html", context)
