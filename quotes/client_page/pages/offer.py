"""The client's page: one quote, open to whoever has its secret, without signing in."""

import re

from django import forms
from django.core.files.storage import default_storage
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from inventory.base.pages import asks_for_part, render_form
from inventory.base.refusals import Refusal
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
from quotes.client_page.queries import client_page, find_link
from quotes.client_page.services.answers import accept_by_link, decline_by_link
from quotes.links.services import record_link_read
from quotes.models import ClientLink, Decision
from quotes.papers.documents.quote import quote_pdf
from shop.base.forms import options_asked
from shop.builds.queries.notes import released_photos

GONE = (
    "Thank you. A piece meant for this instrument is no longer available, so nothing is "
    "ordered yet. The workshop has been told and will suggest another."
)
LACKS_SLASH = re.compile(r"(change/)?[\w-]+(/(paper|signed|accept|agree|decline))?", re.ASCII)


@open_to_clients
@require_safe
def offer(request: HttpRequest, secret: str) -> HttpResponse:
    """Show the quote, or for htmx its price with the options that are ticked."""
    link = _link(secret)
    now = timezone.now()
    if not request.user.is_authenticated:
        record_link_read(link=link, now=now)
    return _show(request, link, secret, wanted=_wanted(request.GET))


@open_to_clients
@require_safe
def offer_paper(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the quote's paper as it was sent."""
    quote = _link(secret).quote
    return pdf_answer(quote_pdf(quote, timezone.localdate()), f"{quote.number}-v{quote.version}")


@open_to_clients
@require_safe
def offer_signed(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the record of the acceptance that was given by this link."""
    link = _link(secret)
    said = Decision.objects.select_related("quote").filter(link=link, said=Decision.Said.YES)
    decision = said.first()
    if decision is None:
        return _show(request, link, secret, refusal="This quote was not accepted by this link.")
    return pdf_answer(acceptance_pdf(decision), f"{decision.quote.number}-accepted")


@open_to_clients
@require_safe
def offer_picture(request: HttpRequest, secret: str, place: int) -> HttpResponse:
    """Send a photo of the wood that is on the quote, by its place from 1."""
    pictures = client_page(_link(secret).quote, timezone.localdate()).paper.pictures
    picture = next(iter(pictures[place - 1 : place]), None) if place else None
    if picture is None or not default_storage.exists(picture.name):
        raise LinkNotOpen
    with default_storage.open(picture.name) as kept:
        return HttpResponse(kept.read(), content_type="image/jpeg")


@open_to_clients
@require_safe
def offer_photo(request: HttpRequest, secret: str, pk: int) -> HttpResponse:
    """Send a photo of the build that the maker released to this client."""
    builds = [one.build for one in _link(secret).quote.instruments if one.build]
    notes = (released_photos(build).filter(pk=pk).first() for build in builds)
    note = next(filter(None, notes), None)
    if note is None:
        raise LinkNotOpen
    with note.photo.open() as kept:
        return HttpResponse(kept.read(), content_type="image/jpeg")


@open_to_clients
def offer_nowhere(request: HttpRequest, secret: str) -> HttpResponse:
    """Answer a mistyped address below the links like a link that opens nothing.

    One that only lacks its last slash is led on, whether or not it opens anything.
    """
    if LACKS_SLASH.fullmatch(secret):
        return redirect(f"{request.path}/")
    raise LinkNotOpen


@open_to_clients
def offer_accept(request: HttpRequest, secret: str) -> HttpResponse:
    """Order what is shown. Whoever comes to read is led to the quote."""
    if request.method != "POST":
        return redirect("offer", secret)
    link, form = _link(secret), ClientAcceptForm(request.POST, auto_id=YES)
    wanted = _wanted(request.POST)
    if not form.is_valid():
        return _show(request, link, secret, wanted=wanted, accept=form)
    now = timezone.now()
    try:
        answer = accept_by_link(
            secret=secret, wanted=wanted, on=timezone.localdate(now), now=now, **form.cleaned_data
        )
    except LinkNotOpen:
        raise
    except Refusal as refusal:
        return _show(request, link, secret, wanted=wanted, accept=form, refusal=refusal.sentence)
    if answer.decision is None:
        return _show(request, link, secret, wanted=wanted, accept=form, refusal=GONE)
    return redirect("offer", secret)


@open_to_clients
def offer_decline(request: HttpRequest, secret: str) -> HttpResponse:
    """Say no. Whoever comes to read is led to the quote."""
    if request.method != "POST":
        return redirect("offer", secret)
    link, form = _link(secret), ClientDeclineForm(request.POST, auto_id=NO)
    if not form.is_valid():
        return _show(request, link, secret, decline=form)
    now = timezone.now()
    try:
        decline_by_link(secret=secret, on=timezone.localdate(now), now=now, **form.cleaned_data)
    except LinkNotOpen:
        raise
    except Refusal as refusal:
        return _show(request, link, secret, decline=form, refusal=refusal.sentence)
    return redirect("offer", secret)


def _link(secret: str) -> ClientLink:
    link = find_link(secret, timezone.localdate())
    if link is None:
        raise LinkNotOpen
    return link


def _wanted(asked: QueryDict) -> list[str] | None:
    """Options that are ticked or taken; None where the page did not ask for any."""
    return options_asked(asked) if "choosing" in asked else None


def _show(
    request: HttpRequest,
    link: ClientLink,
    secret: str,
    *,
    wanted: list[str] | None = None,
    refusal: str = "",
    **filled: forms.Form,
) -> HttpResponse:
    """Render the page; `filled` are the forms `accept` and `decline` as they were sent."""
    on = timezone.localdate()
    try:
        page = client_page(link.quote, on, wanted)
    except Refusal as not_offered:
        page = client_page(link.quote, on)
        refusal = refusal or not_offered.sentence
    part = asks_for_part(request)
    context = {
        "page": page,
        "paper": page.paper,
        "secret": secret,
        "accept": ClientAcceptForm(initial={"dated": on}, auto_id=YES),
        "decline": ClientDeclineForm(auto_id=NO),
        "refusal": refusal,
        "csrf_token": "",
        "is_part": part,
    }
    template = "quotes/client_page/price.html" if part else "quotes/client_page/page.html"
    return render_form(request, template, context | filled)
