"""Starting a quote: from a template, from the last one of a pattern, or as a copy."""

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.base.pages import refusals_on, render_form
from quotes.base.pages import posted
from quotes.clients.services import add_client, open_commission
from quotes.models import Client, Quote
from quotes.quoting.forms.quotes import CopyQuoteForm, NewQuoteForm
from quotes.quoting.queries.quote_hours import DraftHours, draft_hours
from quotes.quoting.services.draft import copy_quote, draft_quote
from shop.models import BuildTemplate


def quote_new(request: HttpRequest) -> HttpResponse:
    """Ask who wants what, and draft it."""
    initial = {"client": request.GET.get("client"), "template": request.GET.get("template")}
    form = NewQuoteForm(posted(request), initial=initial)
    if form.is_valid():
        with refusals_on(form):
            asked = form.cleaned_data | {"level": request.POST.get("level", "")}
            return redirect("quote", _start(asked).pk)
    context = {"form": form, "hours": _hours(form["template"].value())}
    return render_form(request, "quotes/quoting/quote_new.html", context)


def quote_new_hours(request: HttpRequest) -> HttpResponse:
    """Show whose hours a draft of the template may begin with, as a part of the form."""
    context = {"hours": _hours(request.GET.get("template"))}
    return render(request, "quotes/quoting/parts/draft_hours.html", context)


def _hours(template: object) -> DraftHours | None:
    asked = f"{template or ''}"
    row = BuildTemplate.objects.filter(pk=asked).first() if asked.isdecimal() else None
    return draft_hours(row, on=timezone.localdate()) if row else None


@transaction.atomic
def _start(asked: dict[str, object]) -> Quote:
    on = timezone.localdate()
    template = asked["template"] if isinstance(asked["template"], BuildTemplate) else None
    client = asked["client"]
    if not isinstance(client, Client):
        client = add_client(name=str(asked["new_client"]))
    title = str(asked["title"] or template)
    commission = open_commission(client=client, title=title, asked_on=on)
    last = Quote.objects.filter(template=template).first() if template else None
    if asked["from_last"] and last:
        return copy_quote(quote=last, commission=commission, on=on, title=title)
    level = str(asked["level"]) if template else ""
    return draft_quote(commission=commission, template=template, on=on, title=title, level=level)


@transaction.atomic
def _copy(quote: Quote, asked: dict[str, Any]) -> Quote:
    on, title = timezone.localdate(), asked["title"]
    client = asked["client"] or add_client(name=asked["new_client"])
    commission = open_commission(client=client, title=title, asked_on=on)
    return copy_quote(quote=quote, commission=commission, on=on, title=title)


def quote_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a quote for the same client or another."""
    quote = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    initial = {"client": quote.commission.client_id, "title": quote.title}
    form = CopyQuoteForm(posted(request), initial=initial)
    if form.is_valid():
        with refusals_on(form):
            return redirect("quote", _copy(quote, form.cleaned_data).pk)
    context = {"form": form, "quote": quote}
    return render_form(request, "quotes/quoting/quote_copy.html", context)
