"""What to buy, order sheets, suppliers' credits."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.lists import (
    PAGE,
    PART,
    Listing,
    asks_for_file,
    in_order,
    list_file,
    listing,
)
from inventory.base.pages import notify, stock_trail
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.models import Credit, Order
from inventory.purchasing.documents import printed_order
from inventory.purchasing.forms.buying import (
    BuyForm,
    OrderLineForm,
    OrderNoteForm,
    refuse_covered,
    typed_keys,
)
from inventory.purchasing.queries.buying import cost_of, what_to_buy
from inventory.purchasing.queries.orders import open_credits, order_paper, orders
from inventory.purchasing.services.deliveries import settle_credit
from inventory.purchasing.services.orders import close_order, edit_order, make_orders, send_order
from inventory.purchasing.tables import BUY_COLUMNS, ORDER_COLUMNS


def to_buy(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """What is short of plans and levels; one click puts a page of it on order sheets."""
    buys = what_to_buy()
    if asks_for_file(request):
        return list_file("to-buy", buys, BUY_COLUMNS, timezone.localdate())
    page = Paginator(buys, PAGE).get_page(request.GET.get("page"))
    # What was sent belongs to the rows that were shown then, not to those of the page by now.
    seen = typed_keys(request.POST)
    rows = [buy for buy in buys if buy.material.pk in seen] or page
    forms = [BuyForm(_sent(request), buy) for buy in rows]
    shown: dict[str, Any] = {
        "list": Listing(page=page, heads=[], sort="", choices=[]),
        "rows": [(form, cost_of(form.buy)) for form in forms],
        "today": timezone.localdate(),
    }
    status = 200
    if request.method == "POST":
        status = 422
        if not [form for form in forms if not form.is_valid()]:
            lines = [line for form in forms if (line := form.to_order())]
            try:
                refuse_covered(request.POST, buys)
                made = make_orders(lines=lines, on=timezone.localdate())
                notify(request, f"Made: {', '.join(str(order) for order in made)}.")
                return redirect("orders")
            except Refusal as refusal:
                shown["refusal"], status = refusal.sentence, 409
    return render(request, "inventory/purchasing/to_buy.html", shown, status=status)


def order_list(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Order sheets, the latest first, and what suppliers owe."""
    if asks_for_file(request):
        rows = in_order(request, orders(), ORDER_COLUMNS).iterator(chunk_size=PART)
        return list_file("orders", rows, ORDER_COLUMNS, timezone.localdate())
    context = {"list": listing(request, orders(), ORDER_COLUMNS), "credits": open_credits()}
    return render(request, "inventory/purchasing/orders.html", context)


def order(request: HttpRequest, pk: int) -> HttpResponse:
    """One order sheet: changed until it is sent."""
    row = get_object_or_404(Order.objects.select_related("supplier"), pk=pk)
    lines = list(row.lines.select_related("material"))
    forms = [OrderLineForm(_sent(request), line) for line in lines]
    note = OrderNoteForm(_sent(request), initial={"note": row.note})
    shown: dict[str, Any] = {
        "order": row,
        "paper": order_paper(row),
        "lines": lines,
        "forms": forms,
        "note": note,
        "trail": stock_trail(("Purchase orders", reverse("orders"))),
    }
    status = 200
    if request.method == "POST":
        status = 422
        if not [form for form in [*forms, note] if not form.is_valid()]:
            try:
                _change(row, forms, note)
                if "send" in request.POST:
                    send_order(order=row, on=timezone.localdate())
                    notify(request, f"{row.number} was sent and can't be edited.")
                return redirect("order", pk=pk)
            except Refusal as refusal:
                shown["refusal"], status = refusal.sentence, 409
    return render(request, "inventory/purchasing/order.html", shown, status=status)


def order_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet as it was sent, or as it stands."""
    row = get_object_or_404(Order.objects.select_related("supplier"), pk=pk)
    answer = HttpResponse(printed_order(row), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{row.number}.pdf"'
    return answer


@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an order whose rest will not come, or put a draft away."""
    row = get_object_or_404(Order, pk=pk)
    try:
        close_order(order=row, on=timezone.localdate())
        words = "no more is expected" if row.sent_on else "not sent"
        notify(request, f"{row.number} is closed: {words}.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect("order", pk=pk)


@require_POST
@allow_roles(OWNER, MAKER, BOOKKEEPER)
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a supplier's credit is paid."""
    credit = get_object_or_404(Credit.objects.select_related("supplier"), pk=pk)
    try:
        settle_credit(credit=credit, on=timezone.localdate())
        notify(request, f"Settled with {credit.supplier}.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect("orders")


def _sent(request: HttpRequest) -> Any:
    """What was posted, be it nothing at all; None while the page is only looked at."""
    return request.POST if request.method == "POST" else None


def _change(row: Order, forms: list[OrderLineForm], note: OrderNoteForm) -> None:
    lines = {
        form.line.pk: (form.cleaned_data["quantity"], form.cleaned_data["price"]) for form in forms
    }
    edit_order(order=row, lines=lines, note=note.cleaned_data["note"])
