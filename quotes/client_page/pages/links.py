"""Links for clients: made, shown once, withdrawn; and what clients said, seen."""

from django import forms
from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from inventory.base.addresses import opens_outside, outside_address
from inventory.base.pages import refusals_on, render_form
from quotes.base.fields import day_field
from quotes.base.pages import posted
from quotes.client_page.documents import acceptance_pdf
from quotes.client_page.pages.client_view import pdf_answer
from quotes.client_page.services.links import create_link
from quotes.links.queries import last_day_proposed
from quotes.links.services import mark_message_seen, withdraw_link
from quotes.models import Change, ClientLink, ClientMessage, Decision, Quote


class LinkForm(forms.Form):
    """How long a link opens."""

    expires_on = day_field(label="Works until", help_text="Inclusive.")


@never_cache
def quote_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link to a quote and show it, this once."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    return _make_link(request, row)


@never_cache
def change_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link to a change and show it, this once."""
    row = get_object_or_404(Change.objects.select_related("quote__commission__client"), pk=pk)
    return _make_link(request, row.quote, row)


def _make_link(request: HttpRequest, quote: Quote, change: Change | None = None) -> HttpResponse:
    now = timezone.now()
    on = timezone.localdate(now)
    last = last_day_proposed(quote, on, change)
    form = LinkForm(posted(request), initial={"expires_on": last})
    if change is None:
        form.fields["expires_on"].help_text += " After the quote expires, it can only be read."
    context = {"form": form, "quote": quote, "change": change, "opens": opens_outside(request)}
    if form.is_valid():
        with refusals_on(form):
            made = create_link(quote=quote, change=change, on=on, now=now, **form.cleaned_data)
            address = reverse("offer_change" if change else "offer", args=[made.secret])
            context |= {"address": outside_address(request, address), "link": made.link}
    return render_form(request, "quotes/client_page/quote_link.html", context)


@require_POST
def link_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw a link."""
    link = get_object_or_404(ClientLink, pk=pk)
    withdraw_link(link=link, now=timezone.now())
    messages.success(request, "Withdrawn. The link no longer works.")
    return redirect(_page_of(link))


@require_POST
def message_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what a client said off the list of what needs a hand."""
    message = get_object_or_404(ClientMessage, pk=pk)
    mark_message_seen(message=message, now=timezone.now())
    back = request.POST.get("next", "")
    is_own = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
    return redirect(back if is_own else _page_of(message))


def _page_of(row: ClientLink | ClientMessage) -> str:
    if row.change_id:
        return reverse("change", args=[row.change_id])
    return reverse("quote", args=[row.quote_id])


def quote_acceptance(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the record of a client's acceptance as a paper."""
    return _record(Decision.objects.filter(quote=pk, change=None), "accepted")


def change_agreement(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the record of a client's agreement to a change as a paper."""
    return _record(Decision.objects.filter(change=pk), f"change-{pk}-agreed")


def _record(decisions: QuerySet[Decision], name: str) -> HttpResponse:
    said = decisions.select_related("quote", "change").filter(said=Decision.Said.YES)
    if (decision := said.first()) is None:
        raise Http404
    return pdf_answer(acceptance_pdf(decision), f"{decision.quote.number}-{name}")
