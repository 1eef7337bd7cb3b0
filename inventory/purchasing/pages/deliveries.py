"""Deliveries: what came in, and booking in what comes."""

from decimal import Decimal
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.lists import PART, asks_for_file, in_order, list_file, listing
from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.queries import home_currency, home_minor_unit
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.ledger.services.incoming import NewLine, land_lines, lines_in_home_money
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Delivery, Material, Order
from inventory.purchasing.forms.buying import lines_of_order
from inventory.purchasing.forms.deliveries import (
    MOST_LINES,
    DeliveryForm,
    DeliveryLineForm,
    LineSet,
)
from inventory.purchasing.queries.deliveries import delivery_in_full, delivery_list, received_by
from inventory.purchasing.queries.lessons import Lesson, lessons_of
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.purchasing.tables import DELIVERY_COLUMNS
from inventory.shelf.forms.moves import CorrectForm


def deliveries(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Every delivery, the latest first."""
    if asks_for_file(request):
        rows = in_order(request, delivery_list(), DELIVERY_COLUMNS).iterator(chunk_size=PART)
        return list_file("deliveries", rows, DELIVERY_COLUMNS, timezone.localdate())
    context = {
        "list": listing(request, delivery_list(), DELIVERY_COLUMNS),
        "trail": stock_trail(),
    }
    return render(request, "inventory/purchasing/deliveries.html", context)


def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """One delivery with its lines, their shares and their lots."""
    row = get_object_or_404(delivery_in_full(), pk=pk)
    lines = list(row.lines.all())
    context = {
        "delivery": row,
        "lines": lines,
        "price": sum((line.price for line in lines), Decimal(0)),
        "landed": sum((line.landed_cost for line in lines), Decimal(0)),
        "trail": _trail(),
    }
    return render(request, "inventory/purchasing/delivery.html", context)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a delivery that was booked by mistake, as long as nothing of it was used."""
    row = get_object_or_404(Delivery.objects.select_related("supplier"), pk=pk)
    here = reverse("delivery", args=[pk])
    form = CorrectForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        entries = received_by(row)
        if not entries:
            raise Refusal("This delivery has already been reversed.")
        reverse_groups(entries=entries, now=timezone.now(), user=request.user, **data)
        notify(request, f"Reversed: {row}. Its order lines are open again.")
        return here

    asking = FormPage(
        heading=f"Reverse the delivery of {row}",
        lede="Reversing entries take the stock out again. None of it may have been used or "
        "reserved since. The replacement price returns to the one before this delivery; supplier, "
        "lead time and pack size stay.",
        do="Reverse",
        back=here,
        trail=_trail(),
    )
    return handle_form(request, form, asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def new_delivery(request: HttpRequest) -> HttpResponse:
    """Book a delivery in, after a look at what it comes to landed."""
    if request.method != "POST":
        return _show(request, *_blank(request))
    if "more" in request.POST:
        more = one_more(request.POST, MOST_LINES, DeliveryLineForm)
        return _show(request, DeliveryForm(request.POST), LineSet(more))
    head, lines = DeliveryForm(request.POST), LineSet(request.POST)
    head.is_valid()
    lines.currency = head.cleaned_data.get("currency", "")  # type: ignore[attr-defined]
    if not (head.is_valid() and lines.is_valid()):
        return _show(request, head, lines, status=422)
    new = lines.new_lines()  # type: ignore[attr-defined]
    try:
        if "book" in request.POST:
            return _book(request, head.cleaned_data, new)
        return _show(request, head, lines, preview=_preview(head, new))
    except Refusal as refusal:
        return _show(request, head, lines, status=409, refusal=refusal.sentence)


def _book(request: HttpRequest, data: dict[str, Any], lines: list[NewLine]) -> HttpResponse:
    row = receive_delivery(lines=lines, now=timezone.now(), user=request.user, **data)
    notify(request, f"Received: {row}.")
    return redirect("delivery", pk=row.pk)


def _preview(head: DeliveryForm, lines: list[NewLine]) -> list[tuple[NewLine, Any]]:
    minor_unit = home_minor_unit()
    own, charges = lines_in_home_money(lines, head.charges(), minor_unit)
    return list(zip(own, land_lines(own, charges, minor_unit), strict=True))


def _blank(request: HttpRequest) -> tuple[DeliveryForm, Any]:
    """Return forms to begin with: of an order, or naming one material, as the address asks."""
    order = _asked(Order.objects.select_related("supplier"), request.GET.get("order", ""))
    material = _asked(Material.objects.all(), request.GET.get("material", ""))
    head: dict[str, Any] = {"received_on": timezone.localdate()}
    if order is not None:
        foreign = order.currency if order.currency != home_currency() else ""
        head |= {"supplier": order.supplier_id, "currency": foreign}
        return DeliveryForm(initial=head), LineSet(initial=lines_of_order(order))
    if material is not None:
        head |= {"supplier": material.supplier_id}
        return DeliveryForm(initial=head), LineSet(initial=[{"material": material.name}])
    return DeliveryForm(initial=head), LineSet()


def _asked(rows: Any, key: str) -> Any:
    return rows.filter(pk=key).first() if key.isdigit() and len(key) < 19 else None


def one_more(posted: Any, most: int, form: type[Form]) -> Any:
    """Return a posted formset with one blank `form` more, as it begins, up to `most`."""
    data = posted.copy()
    total = data.get("form-TOTAL_FORMS", "1")
    count = int(total) if total.isdigit() and len(total) < 4 else 1
    data["form-TOTAL_FORMS"] = str(min(count + 1, most))
    for name, field in form.base_fields.items():
        if field.initial is not None:
            data.setdefault(f"form-{count}-{name}", str(field.initial))
    return data


def _show(
    request: HttpRequest,
    head: DeliveryForm,
    lines: Any,
    *,
    status: int = 200,
    preview: list[tuple[NewLine, Any]] | None = None,
    refusal: str = "",
) -> HttpResponse:
    context = {
        "head": head,
        "lines": lines,
        "preview": preview,
        "refusal": refusal,
        "trail": _trail(),
        "landed": sum((own.cost for _, own in preview or []), Decimal(0)),
        "lessons": _lessons(head, preview) if preview else [],
    }
    return render(request, "inventory/purchasing/new_delivery.html", context, status=status)


def _lessons(head: DeliveryForm, preview: list[tuple[NewLine, Any]]) -> list[Lesson]:
    data = head.cleaned_data
    if not data["teaches"]:
        return []
    return lessons_of(preview, data["supplier"], data["received_on"])


def _trail() -> tuple[tuple[str, str], ...]:
    return stock_trail(("Deliveries", reverse("deliveries")))
