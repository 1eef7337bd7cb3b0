"""Purchases: the book of suppliers' bills, one bill, and a year of them."""

from datetime import MAXYEAR, MINYEAR, date
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.lists import PART, asks_for_file, in_order, list_file, listing
from inventory.base.pages import (
    FormPage,
    handle_form,
    notify,
    refusals_on,
    render_form,
    stock_trail,
)
from inventory.base.queries import home_currency
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.base.tables import TYPES, as_csv, as_xlsx
from inventory.models import Bill, Delivery, Supplier
from inventory.purchasing.calc.bills import YearPurchases, purchase_tables
from inventory.purchasing.forms.bills import (
    BillForm,
    CorrectBillForm,
    CoverForm,
    PaidForm,
    VoidBillForm,
)
from inventory.purchasing.queries.bills import (
    BillsAsked,
    bill_state,
    bills_asked_for,
    charged,
    check_bill,
    sums_of_bills,
    year_purchases,
    years_billed,
)
from inventory.purchasing.queries.deliveries import delivery_in_full
from inventory.purchasing.services.bills import (
    correct_bill,
    cover_deliveries,
    enter_bill,
    pay_bill,
    void_bill,
)
from inventory.purchasing.tables import BILL_COLUMNS

STATES = {"": "All", "open": "Open", "overdue": "Overdue", "paid": "Paid", "void": "Void"}
QUARTERS = {"": "Whole year", "1": "Jan to Mar", "2": "Apr to Jun", "3": "Jul to Sep"} | {
    "4": "Oct to Dec"
}


def bills(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Show suppliers' bills that are asked for, with what they come to."""
    on = timezone.localdate()
    asked = _asked(request.GET)
    rows = bills_asked_for(asked, on)
    if asks_for_file(request):
        told = in_order(request, rows, BILL_COLUMNS).iterator(chunk_size=PART)
        return list_file("bills", told, BILL_COLUMNS, on)
    shown = listing(request, rows, BILL_COLUMNS)
    sums = sums_of_bills(rows)
    context = {
        "list": shown,
        "rows": [(row, *bill_state(row, on)) for row in shown.page],
        "asked": asked,
        "sums": sums,
        "is_foreign": any(one.currency != home_currency() for one in sums),
        "home_net": sum((one.home_net for one in sums), Decimal(0)),
        "home_tax": sum((one.home_tax for one in sums), Decimal(0)),
        "choices": _choices(asked),
        "is_filtered": asked != BillsAsked(),
        "year": on.year,
    }
    return render(request, "inventory/purchasing/bills.html", context)


def bill(request: HttpRequest, pk: int) -> HttpResponse:
    """One bill beside the deliveries that it covers."""
    row = get_object_or_404(Bill.objects.select_related("supplier"), pk=pk)
    covered = list(delivery_in_full().filter(bill=row))
    context = {
        "bill": row,
        "state": bill_state(row, timezone.localdate()),
        "check": check_bill(row),
        "covered": [(one, charged(one)) for one in covered],
        "is_foreign": row.currency != home_currency(),
        "trail": _trail(),
    }
    return render(request, "inventory/purchasing/bill.html", context)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def new_bill(request: HttpRequest) -> HttpResponse:
    """Enter a supplier's bill, begun with a delivery or a supplier where the address names one."""
    form = BillForm(request.POST or None, initial=_begun(request.GET))

    def act(data: dict[str, Any]) -> str:
        row = enter_bill(bill=form.to_bill(), now=timezone.now())
        notify(request, f"Entered: {row}.")
        return reverse("bill", args=[row.pk])

    asking = FormPage(heading="New bill", back=reverse("bills"), trail=_trail())
    return handle_form(request, form, asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a bill anew: the one entered by mistake stays in sight, void."""
    row = get_object_or_404(Bill.objects.select_related("supplier"), pk=pk)
    form = CorrectBillForm(request.POST or None, initial=_as_entered(row), bill=row)

    def act(data: dict[str, Any]) -> str:
        right = correct_bill(bill=row, right=form.to_bill(), why=data["why"], now=timezone.now())
        notify(request, f"Corrected: {right}.")
        return reverse("bill", args=[right.pk])

    asking = FormPage(
        heading=f"Correct bill {row.number}",
        lede="The bill as it was entered stays in sight as void, and counts for nothing.",
        back=reverse("bill", args=[pk]),
        trail=_trail(),
    )
    return handle_form(request, form, asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def void(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a bill out of all sums, with the reason."""
    row = get_object_or_404(Bill.objects.select_related("supplier"), pk=pk)
    here = reverse("bill", args=[pk])

    def act(data: dict[str, Any]) -> str:
        void_bill(bill=row, why=data["why"])
        notify(request, f"Void: {row}.")
        return here

    asking = FormPage(
        heading=f"Void bill {row.number}",
        lede="It stays in sight with the reason, and counts for nothing.",
        do="Void",
        back=here,
        trail=_trail(),
    )
    return handle_form(request, VoidBillForm(request.POST or None), asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Note the day on which a bill was paid, or that it is not paid after all."""
    row = get_object_or_404(Bill.objects.select_related("supplier"), pk=pk)
    here = reverse("bill", args=[pk])
    is_undone = "unpaid" in request.POST
    # Marking it as unpaid asks for no day.
    typed = {"paid_on": f"{timezone.localdate()}"} if is_undone else request.POST or None
    form = PaidForm(typed, initial={"paid_on": timezone.localdate()})

    def act(data: dict[str, Any]) -> str:
        pay_bill(bill=row, paid_on=None if is_undone else data["paid_on"], now=timezone.now())
        notify(request, f"{'Not paid' if is_undone else 'Paid'}: {row}.")
        return here

    asking = FormPage(
        heading=f"Bill {row.number} is paid", do="Mark as paid", back=here, trail=_trail()
    )
    return handle_form(request, form, asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def cover(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the deliveries that a bill covers."""
    row = get_object_or_404(Bill.objects.select_related("supplier"), pk=pk)
    here = reverse("bill", args=[pk])
    initial = {"deliveries": list(row.deliveries.values_list("pk", flat=True))}
    is_sent = request.method == "POST"
    form = CoverForm(request.POST if is_sent else None, initial=initial, bill=row)
    if form.is_valid():
        with refusals_on(form):
            cover_deliveries(bill=row, deliveries=list(form.cleaned_data["deliveries"]))
            return redirect(here)
    asking = FormPage(
        heading=f"Deliveries of bill {row.number}",
        lede=f"Deliveries of {row.supplier} that no other bill covers.",
        back=here,
        trail=_trail(),
    )
    shown = {"form": form, "form_page": asking, "trail": asking.trail}
    return render_form(request, "inventory/ask.html", shown)


def purchases(request: HttpRequest, year: int) -> HttpResponse:
    """Show a year of purchases: by month, by quarter, by supplier."""
    added = _purchases(year)
    context = {
        "purchases": added,
        "years": sorted({*years_billed(), year, timezone.localdate().year}, reverse=True),
        "months": [(date(year, int(row.name), 1), row) for row in added.months],
        "trail": _trail(),
    }
    return render(request, "inventory/purchasing/purchases.html", context)


def purchases_csv(request: HttpRequest, year: int, table: str) -> HttpResponse:
    """Send one table of a year of purchases as CSV."""
    tables = {one.name: one for one in purchase_tables(_purchases(year), home_currency())}
    if table not in tables:
        raise Http404
    return _file(as_csv(tables[table]), "csv", f"purchases-{year}-{table}")


def purchases_xlsx(request: HttpRequest, year: int) -> HttpResponse:
    """Send all tables of a year of purchases as one workbook."""
    tables = purchase_tables(_purchases(year), home_currency())
    return _file(as_xlsx(tables), "xlsx", f"purchases-{year}")


def _purchases(year: int) -> YearPurchases:
    if not MINYEAR < year < MAXYEAR:
        raise Http404
    return year_purchases(year)


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{name}.{kind}"'}
    return HttpResponse(content, content_type=TYPES[kind], headers=headers)


def _begun(query: QueryDict) -> dict[str, Any]:
    """Return what a new bill begins with: of a delivery, or of a supplier."""
    delivery = _named(delivery_in_full(), query.get("delivery", ""))
    if isinstance(delivery, Delivery):
        is_home = not delivery.currency
        return {
            "supplier": delivery.supplier_id,
            "number": delivery.reference,
            "billed_on": delivery.received_on,
            "currency": delivery.currency,
            "rate": delivery.rate,
            "net": charged(delivery),
            "tax": delivery.tax if is_home else None,
            "deliveries": [delivery.pk],
        }
    begun: dict[str, Any] = {"billed_on": timezone.localdate()}
    supplier = _named(Supplier.objects.all(), query.get("supplier", ""))
    if isinstance(supplier, Supplier):
        begun |= {"supplier": supplier.pk, "currency": supplier.currency}
    return begun


def _as_entered(row: Bill) -> dict[str, Any]:
    names = ("number", "billed_on", "due_on", "rate", "net", "tax", "paid_on", "note")
    return {name: getattr(row, name) for name in names} | {
        "supplier": row.supplier_id,
        "currency": "" if row.currency == home_currency() else row.currency,
        "gross": row.total,
        "deliveries": list(row.deliveries.values_list("pk", flat=True)),
    }


def _named(rows: Any, key: str) -> Any:
    return rows.filter(pk=key).first() if key.isdecimal() and len(key) < 19 else None


def _asked(query: QueryDict) -> BillsAsked:
    """Read what is asked for; what makes no sense leaves nothing out."""
    year = _number(query.get("year", ""), 1, 9998)
    state = query.get("state", "")
    return BillsAsked(
        search=query.get("q", "").strip(),
        state=state if state in STATES else "",
        supplier=_number(query.get("supplier", ""), 1, 2**62),
        year=year,
        quarter=_number(query.get("quarter", ""), 1, 4) if year else None,
    )


def _number(typed: str, least: int, most: int) -> int | None:
    if not (typed.isascii() and typed.isdigit()) or len(typed) > 19:
        return None
    return int(typed) if least <= int(typed) <= most else None


def _choices(asked: BillsAsked) -> list[tuple[str, str, str, list[tuple[str, str]]]]:
    """Return each choice above the list: its name, its label, what is chosen, what there is."""
    sellers = Supplier.objects.filter(bills__isnull=False).distinct().order_by("name")
    named = [(f"{pk}", name) for pk, name in sellers.values_list("pk", "name")]
    years = [(f"{year}", f"{year}") for year in years_billed()]
    return [
        ("state", "Status", asked.state, [*STATES.items()]),
        ("supplier", "Supplier", f"{asked.supplier or ''}", [("", "All"), *named]),
        ("year", "Year", f"{asked.year or ''}", [("", "All"), *years]),
        ("quarter", "Quarter", f"{asked.quarter or ''}", [*QUARTERS.items()]),
    ]


def _trail() -> tuple[tuple[str, str], ...]:
    return stock_trail(("Purchases", reverse("bills")))
