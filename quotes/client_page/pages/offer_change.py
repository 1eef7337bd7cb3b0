"""The client's page of a change: read, agreed to or declined without signing in."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from inventory.base.refusals import Refusal
from quotes.changes.documents import change_pdf
from quotes.client_page.documents import acceptance_pdf
from quotes.client_page.locking import LinkNotOpen
from quotes.client_page.pages.client_view import (
    NO,
    YES,
    ClientAcceptForm,
    ClientDeclineForm,
    open_to_clients,
    pdf_answer,
)
from quotes.client_page.queries import client_change, find_change_link
from quotes.client_page.services.answers import answer_change
from quotes.links.services import record_link_read
from quotes.models import Change, ClientLink, Decision

NOTHING_FILLED: dict[str, forms.Form] = {}


@open_to_clients
@require_safe
def offer_change(request: HttpRequest, secret: str) -> HttpResponse:
    """Show the change, and what is agreed without it and with it."""
    link = _link(secret)
    if not request.user.is_authenticated:
        record_link_read(link=link, now=timezone.now())
    return _show(request, _change(link), secret)


@open_to_clients
@require_safe
def offer_change_paper(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the change's paper as it was offered."""
    change = _change(_link(secret))
    return pdf_answer(change_pdf(change), f"{change.quote.number}-change-{change.number}")


@open_to_clients
@require_safe
def offer_change_signed(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the record of the agreement that was given by this link."""
    link = _link(secret)
    said = Decision.objects.select_related("change__quote", "quote")
    decision = said.filter(link=link, said=Decision.Said.YES).first()
    if decision is None:
        refusal = "This change was not agreed by this link."
        return _show(request, _change(link), secret, refusal=refusal)
    name = f"{decision.quote.number}-change-{_change(link).number}-agreed"
    return pdf_answer(acceptance_pdf(decision), name)


@open_to_clients
def offer_change_agree(request: HttpRequest, secret: str) -> HttpResponse:
    """Agree to the change. Whoever comes to read is led to it."""
    return _answered(request, secret, ClientAcceptForm, "accept")


@open_to_clients
def offer_change_decline(request: HttpRequest, secret: str) -> HttpResponse:
    """Say no to the change. Whoever comes to read is led to it."""
    return _answered(request, secret, ClientDeclineForm, "decline")


def _answered(
    request: HttpRequest, secret: str, kind: type[forms.Form], which: str
) -> HttpResponse:
    if request.method != "POST":
        return redirect("offer_change", secret)
    is_yes = which == "accept"
    change, form = _change(_link(secret)), kind(request.POST, auto_id=YES if is_yes else NO)
    if not form.is_valid():
        return _show(request, change, secret, filled={which: form})
    now = timezone.now()
    try:
        answer_change(
            secret=secret, agreed=is_yes, on=timezone.localdate(now), now=now, **form.cleaned_data
        )
    except LinkNotOpen:
        raise
    except Refusal as refusal:
        latest = _change(_link(secret))
        return _show(request, latest, secret, refusal=refusal.sentence, filled={which: form})
    return redirect("offer_change", secret)


def _link(secret: str) -> ClientLink:
    link = find_change_link(secret, timezone.localdate())
    if link is None:
        raise LinkNotOpen
    return link


def _change(link: ClientLink) -> Change:
    if link.change is None:
        raise LinkNotOpen
    return link.change


def _show(
    request: HttpRequest,
    change: Change,
    secret: str,
    *,
    refusal: str = "",
    filled: dict[str, forms.Form] = NOTHING_FILLED,
) -> HttpResponse:
    """Render the page; `filled` has the form `accept` or `decline` as it was sent."""
    page = client_change(change)
    context = {
        "page": page,
        "paper": page.paper,
        "currency": page.paper.totals.currency,
        "secret": secret,
        "accept": ClientAcceptForm(initial={"dated": timezone.localdate()}, auto_id=YES),
        "decline": ClientDeclineForm(auto_id=NO),
        "refusal": refusal,
        "csrf_token": "",
    }
    wrong = 422 if any(form.errors for form in filled.values()) else 200
    status = 409 if refusal else wrong
    return render(request, "quotes/client_page/change.html", context | filled, status=status)
