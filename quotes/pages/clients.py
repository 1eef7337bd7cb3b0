"""Clients and their commissions."""

from django.core.paginator import Paginator
from django.db.models import Count, Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.refusals import Refusal
from quotes.models import Client
from quotes.pages.asking import posted
from quotes.pages.forms import ClientForm
from quotes.queries.invoices import owed_on
from quotes.queries.quote_list import quotes_in, standings
from quotes.services.add_client import add_client
from quotes.services.change_client import change_client
from shop.pages.telling import add_refusal


def clients(request: HttpRequest) -> HttpResponse:
    """Show everybody who ever asked."""
    search = request.GET.get("q", "").strip()
    rows = Client.objects.annotate(
        asked=Count("commissions"), last_asked=Max("commissions__asked_on")
    ).order_by("name", "pk")
    if search:
        rows = rows.filter(name__icontains=search)
    page = Paginator(rows, 50).get_page(request.GET.get("page"))
    return render(request, "quotes/clients.html", {"page": page, "search": search})


def client_new(request: HttpRequest) -> HttpResponse:
    """Add a client."""
    form = ClientForm(posted(request))
    if form.is_valid():
        try:
            return redirect("client", add_client(**form.cleaned_data).pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {"form": form, "title": "New client"}
    return render(request, "quotes/client_edit.html", context, status=422 if form.errors else 200)


def client(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a client with all quotes."""
    row = get_object_or_404(Client, pk=pk)
    quotes = quotes_in("all").filter(commission__client=row)
    context = {
        "client": row,
        "rows": standings(quotes, timezone.localdate()),
        "commissions": row.commissions.all(),
        "accounts": owed_on(timezone.localdate(), row),
    }
    return render(request, "quotes/client.html", context)


def client_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a client."""
    row = get_object_or_404(Client, pk=pk)
    form = ClientForm(posted(request), instance=row)
    if form.is_valid():
        try:
            change_client(client=row, **form.cleaned_data)
            return redirect("client", pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {"form": form, "title": row.name, "client": row}
    return render(request, "quotes/client_edit.html", context, status=422 if form.errors else 200)
