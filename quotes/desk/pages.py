"""Pages of clients, commissions, the books and the day."""

from django.db.models import Count, Max
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.lists import PART, asks_for_file, in_order, list_file, listing
from inventory.base.pages import refusals_on, render_form
from inventory.base.roles import BENCH_ROLES, role_of
from quotes.base.pages import posted
from quotes.clients.forms import ClientForm
from quotes.clients.services import add_client, edit_client
from quotes.desk.queries import FirstStep, books_on, commission_page, first_steps, todays_books
from quotes.desk.tables import CLIENT_COLUMNS
from quotes.invoicing.queries.invoices import owed_on
from quotes.models import Client, Commission
from quotes.quoting.queries.quote_list import quotes_in, standings


def books(request: HttpRequest) -> HttpResponse:
    """Show what is owed today, by whom and how late, and what may be asked for next."""
    on = timezone.localdate()
    return render(request, "quotes/desk/books.html", {"books": books_on(on), "year": on.year})


def clients(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Show everybody who ever asked."""
    search = request.GET.get("q", "").strip()
    rows = Client.objects.annotate(
        asked=Count("commissions"), last_asked=Max("commissions__asked_on")
    ).order_by("name", "pk")
    if search:
        rows = rows.filter(name__icontains=search)
    if asks_for_file(request):
        told = in_order(request, rows, CLIENT_COLUMNS).iterator(chunk_size=PART)
        return list_file("clients", told, CLIENT_COLUMNS, timezone.localdate())
    context = {"list": listing(request, rows, CLIENT_COLUMNS), "search": search}
    return render(request, "quotes/desk/clients.html", context)


def client_new(request: HttpRequest) -> HttpResponse:
    """Add a client."""
    form = ClientForm(posted(request))
    if form.is_valid():
        with refusals_on(form):
            return redirect("client", add_client(**form.cleaned_data).pk)
    context = {"form": form, "title": "New client"}
    return render_form(request, "quotes/desk/client_edit.html", context)


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
    return render(request, "quotes/desk/client.html", context)


def client_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a client."""
    row = get_object_or_404(Client, pk=pk)
    form = ClientForm(posted(request), instance=row)
    if form.is_valid():
        with refusals_on(form):
            edit_client(client=row, **form.cleaned_data)
            return redirect("client", pk)
    context = {"form": form, "title": row.name, "client": row}
    return render_form(request, "quotes/desk/client_edit.html", context)


def commission(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a commission from first talk to last payment."""
    try:
        page = commission_page(pk, timezone.localdate())
    except Commission.DoesNotExist:
        raise Http404 from None
    return render(request, "quotes/desk/commission.html", {"page": page, "rows": page.quotes})


def today_books(request: HttpRequest) -> HttpResponse:
    """Show quotes about to lapse, money owed and what clients said, to be set into another page."""
    return render(
        request, "quotes/desk/today_books.html", {"books": todays_books(timezone.localdate())}
    )


def today_steps(request: HttpRequest) -> HttpResponse:
    """Show a newcomer the first steps, to be set into another page; nothing once they are done."""
    steps = first_steps() if role_of(request.user) in BENCH_ROLES else []
    now = next((step for step in steps if not step.is_done), None)
    rows = [(step, _when(step, now), _url(step)) for step in steps]
    return render(request, "quotes/desk/today_steps.html", {"steps": rows})


def _when(step: FirstStep, now: FirstStep | None) -> str:
    if step.is_done:
        return "done"
    return "now" if step is now else "next"


def _url(step: FirstStep) -> str:
    return reverse(step.page, args=[] if step.key is None else [step.key])
