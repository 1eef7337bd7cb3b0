"""Sending a quote, and what the client said to it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.pages import posted
from quotes.models import Quote
from quotes.papers.documents.printing import paper_html
from quotes.papers.documents.quote import draft_paper
from quotes.quoting.forms.pieces import AcceptForm, HoldForm
from quotes.quoting.forms.quotes import DeclineForm
from quotes.quoting.pages.quote import show_quote
from quotes.quoting.queries.issue_check import missing_for_issue
from quotes.quoting.services.decide import accept_quote, decline_quote
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.holds import hold_stock, release_hold
from quotes.quoting.services.issue import issue_quote
from shop.builds.queries.needs import lines_unnamed


def quote_issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the paper and what is missing; once sent, number, freeze and print the draft."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    if request.method != "POST":
        return _issue_preview(request, row)
    now = timezone.now()
    try:
        issued = issue_quote(quote=row, on=timezone.localdate(now), now=now)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    messages.success(request, f"{issued.number} is issued. Send the client the PDF or a link.")
    return redirect("quote", pk)


def _issue_preview(request: HttpRequest, quote: Quote) -> HttpResponse:
    on = timezone.localdate()
    if not quote.is_draft:
        return redirect("quote", quote.pk)
    try:
        found, paper = missing_for_issue(quote, on), draft_paper(quote, on)
    except Refusal as refusal:
        return show_quote(request, quote.pk, refusal.sentence)
    keys = {"workshop": [], "client_edit": [quote.commission.client_id]}
    missing = [
        {
            "words": one.words,
            "url": reverse(one.where, args=keys.get(one.where, [one.of or quote.pk])),
        }
        for one in found
    ]
    shown = paper_html("quotes/papers/quote_preview.html", paper, made_on=f"{on}")
    context = {"quote": quote, "missing": missing, "paper": mark_safe(shown)}
    return render_form(request, "quotes/quoting/quote_issue.html", context)


@require_POST
def quote_revise(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin the next version at today's prices."""
    row = get_object_or_404(Quote, pk=pk)
    try:
        draft = revise_quote(quote=row, on=timezone.localdate())
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return redirect("quote", draft.pk)


def quote_accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter the build and put its stock aside; then say what is short."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    form = AcceptForm(posted(request), quote=row)
    if form.is_valid():
        now = timezone.now()
        with refusals_on(form):
            accepted = accept_quote(
                quote=row,
                on=timezone.localdate(now),
                now=now,
                by=form.cleaned_data["by"],
                chosen=form.chosen,
            )
            words = _put_aside_words(len(accepted.shortages), lines_unnamed(accepted.build))
            messages.success(request, f"Build {accepted.build.serial} is planned. {words}")
            return redirect("quote", pk)
    context = {"form": form, "quote": row}
    return render_form(request, "quotes/quoting/quote_accept.html", context)


def _put_aside_words(short: int, unnamed: int) -> str:
    """Tell lines that are short from those for which nobody has named a material yet."""
    words = [
        f"{short} {'line is' if short == 1 else 'lines are'} short." if short else "",
        f"{unnamed} {'line has' if unnamed == 1 else 'lines have'} no material yet."
        if unnamed
        else "",
    ]
    return " ".join(filter(None, words)) or "All stock is reserved."


def quote_decline(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep that the client said no, and why."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    form = DeclineForm(posted(request), label="Reason" if row.is_draft else "Client’s reason")
    if form.is_valid():
        with refusals_on(form):
            decline_quote(quote=row, now=timezone.now(), **form.cleaned_data)
            return redirect("quote", pk)
    context = {"form": form, "quote": row}
    return render_form(request, "quotes/quoting/quote_decline.html", context)


def quote_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Put stock aside for a quote until a day."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    until = row.held_until or row.valid_until
    form = HoldForm(posted(request), quote=row, initial={"until": until})
    if form.is_valid():
        with refusals_on(form):
            now = timezone.now()
            on = timezone.localdate(now)
            missing = hold_stock(
                quote=row,
                until=form.cleaned_data["until"],
                on=on,
                now=now,
                chosen=form.chosen,
            )
            names = "; ".join(name for name, _ in missing)
            messages.success(
                request, f"Reserved. Short of: {names}." if names else "All of it is reserved."
            )
            return redirect("quote", pk)
    context = {"form": form, "quote": row}
    return render_form(request, "quotes/quoting/quote_hold.html", context)


@require_POST
def quote_release(request: HttpRequest, pk: int) -> HttpResponse:
    """Let go of what is held for a quote."""
    row = get_object_or_404(Quote, pk=pk)
    try:
        release_hold(quote=row, now=timezone.now())
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    messages.success(request, "Released. The stock is available again.")
    return redirect("quote", pk)
