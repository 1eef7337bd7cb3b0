"""Changes after acceptance, and the confirmation of an order."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.pages import posted
from quotes.changes.documents import change_pdf, confirmation_paper
from quotes.changes.forms import ChangeForm
from quotes.changes.queries import closed_to_change, standings_of, worked_out
from quotes.changes.services import offer_change, record_change_decision
from quotes.links.queries import client_side
from quotes.models import Change, PricingPolicy, Quote
from quotes.papers.documents.printing import print_paper
from quotes.pricing.queries.taxing import taxed_change


def change_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a change."""
    quote = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    policy = PricingPolicy.objects.first() or PricingPolicy(pk=1)
    initial = {"is_paid_ahead": policy.changes_paid_ahead}
    form = ChangeForm(posted(request), initial=initial, quote=quote)
    if form.is_valid():
        with refusals_on(form):
            return redirect(
                "change", offer_change(quote=quote, on=timezone.localdate(), **form.asked()).pk
            )
    context = {"form": form, "quote": quote}
    return render_form(request, "quotes/changes/change_new.html", context)


def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a change."""
    return _shown(request, _find(pk))


def _find(pk: int) -> Change:
    rows = Change.objects.select_related(
        "quote__commission__client", "quote__build", "before", "stage"
    )
    return get_object_or_404(rows, pk=pk)


def _shown(request: HttpRequest, row: Change, refusal: str = "") -> HttpResponse:
    client, on = row.quote.commission.client, timezone.localdate()
    document = taxed_change(row)
    context = {
        "change": row,
        "document": document,
        "rate": document.groups[0].rate,
        "client": client_side(row.quote, on, row),
        "is_open": not closed_to_change(row),
        "standing": standings_of([row], [client], on)[0],
        "materials": row.materials.select_related("material"),
        "made_from": worked_out(row.quote, row.hours, row.cost),
        "refusal": refusal,
    }
    return render_form(request, "quotes/changes/change.html", context)


def build_changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is to be built now and what is agreed since, to be set into a build's page."""
    quotes = Quote.objects.select_related("commission__client", "build")
    quote = quotes.filter(build=pk).first()
    changes = list(quote.changes.all()) if quote else []
    client, on = quote.commission.client if quote else None, timezone.localdate()
    standings = standings_of(changes, [client], on) if client else []
    context = {"standings": standings, "quote": quote}
    return render(request, "quotes/changes/parts/build_changes.html", context)


@require_POST
def change_decide(request: HttpRequest, pk: int, said: str) -> HttpResponse:
    """Keep what the client said to a change."""
    row = _find(pk)
    by = request.POST.get("by", "") or row.quote.commission.client.name
    try:
        record_change_decision(change=row, agreed=said == "agreed", now=timezone.now(), by=by)
    except Refusal as refusal:
        return _shown(request, row, refusal.sentence)
    return redirect("change", pk)


def change_document(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a change's paper as it was offered."""
    return HttpResponse(change_pdf(_find(pk)), content_type="application/pdf")


def confirmation(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the confirmation of an accepted quote."""
    quote = get_object_or_404(
        Quote.objects.select_related("build"), pk=pk, state=Quote.State.ACCEPTED
    )
    on = timezone.localdate(quote.decided_at)
    paper = confirmation_paper(quote, on)
    printed = print_paper("quotes/papers/confirmation.html", paper, made_on=f"{on}")
    return HttpResponse(printed, content_type="application/pdf")
