"""Links for clients: made, shown once, withdrawn; and what clients said, seen."""

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from inventory.refusals import Refusal
from quotes.models import ClientLink, ClientMessage, Decision, Quote
from quotes.pages.fields import day_field
from quotes.queries.acceptance import acceptance_pdf
from quotes.queries.client_side import last_day_proposed
from quotes.services.create_link import create_link
from quotes.services.mark_message_seen import mark_message_seen
from quotes.services.withdraw_link import withdraw_link
from shop.pages.telling import add_refusal


class LinkForm(forms.Form):
    """How long a link opens."""

    expires_on = day_field(
        label="Opens to",
        help_text="That day included. After the quote's own last day it only shows.",
    )


@never_cache
def quote_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link and show it, this once."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    now = timezone.now()
    on = timezone.localdate(now)
    form = LinkForm(request.POST or None, initial={"expires_on": last_day_proposed(row, on)})
    context = {"form": form, "quote": row}
    if form.is_valid():
        try:
            made = create_link(quote=row, on=on, now=now, **form.cleaned_data)
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            address = request.build_absolute_uri(reverse("offer", args=[made.secret]))
            context |= {"address": address, "link": made.link}
    return render(request, "quotes/quote_link.html", context, status=422 if form.errors else 200)


@require_POST
def link_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw a link."""
    link = get_object_or_404(ClientLink, pk=pk)
    withdraw_link(link=link, now=timezone.now())
    messages.success(request, "Withdrawn. The link opens nothing any more.")
    return redirect("quote", link.quote_id)


@require_POST
def message_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what a client said off the list of what needs a hand."""
    message = get_object_or_404(ClientMessage, pk=pk)
    mark_message_seen(message=message, now=timezone.now())
    back = request.POST.get("next", "")
    is_own = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
    return redirect(back if is_own else reverse("quote", args=[message.quote_id]))


def quote_acceptance(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the record of a client's acceptance as a paper."""
    decision = Decision.objects.select_related("quote").filter(quote=pk, said="yes").first()
    if decision is None:
        raise Http404
    name = f"{decision.quote.number}-accepted.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(acceptance_pdf(decision), content_type="application/pdf", headers=headers)
