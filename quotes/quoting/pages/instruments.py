"""Several instruments in one order: added to a draft, moved, taken out and put back."""

from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.pages import posted
from quotes.models import Quote
from quotes.quoting.forms.quotes import NewInstrumentForm
from quotes.quoting.pages.quote import show_quote
from quotes.quoting.services.instruments import (
    add_instrument,
    join_order,
    leave_order,
    order_instruments,
)


def instrument_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add an instrument to a draft."""
    quote = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    form = NewInstrumentForm(posted(request))
    if form.is_valid():
        with refusals_on(form):
            one = add_instrument(
                quote=quote,
                on=timezone.localdate(),
                template=form.cleaned_data["template"],
                title=form.cleaned_data["title"],
                is_same=form.cleaned_data["begins"] == form.SAME,
                batch_saving=form.cleaned_data["batch_saving"] or Decimal(0),
            )
            return redirect("quote", one.pk)
    context = {"form": form, "quote": quote}
    return render_form(request, "quotes/quoting/instrument_new.html", context)


@require_POST
def instrument_up(request: HttpRequest, pk: int, other_pk: int) -> HttpResponse:
    """Move a further instrument one place up on the paper."""
    quote = get_object_or_404(Quote, pk=pk)
    keys = [one.pk for one in quote.instruments[1:]]
    if other_pk in keys:
        at = keys.index(other_pk)
        keys.insert(max(at - 1, 0), keys.pop(at))
    try:
        order_instruments(quote=quote, keys=keys)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return redirect("quote", pk)


@require_POST
def instrument_leave(request: HttpRequest, pk: int, other_pk: int) -> HttpResponse:
    """Take a further instrument out of a draft; it stays as a draft by itself."""
    one = get_object_or_404(Quote, pk=other_pk, part_of=pk)
    try:
        leave_order(one=one)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    undo = reverse("instrument_join", args=[pk, other_pk])
    words = f"{one.title} is out of this order, and is a draft by itself."
    messages.success(request, words, extra_tags=undo)
    return redirect("quote", pk)


@require_POST
def instrument_join(request: HttpRequest, pk: int, other_pk: int) -> HttpResponse:
    """Make another draft of the commission a further instrument of this one."""
    quote, one = get_object_or_404(Quote, pk=pk), get_object_or_404(Quote, pk=other_pk)
    try:
        join_order(quote=quote, one=one)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    if one.shipping != quote.shipping:
        words = (
            f"Shipping counts once, as set for the order: {quote.shipping:,.2f}. "
            f"{one.title} had {one.shipping:,.2f} of its own, which is left out."
        )
        messages.info(request, words)
    return redirect("quote", pk)
