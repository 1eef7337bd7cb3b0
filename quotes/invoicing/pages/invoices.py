"""Invoices, credit notes and payments on the desk."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.html import format_html

from inventory.base.pages import refusals_on, render_form
from inventory.base.queries import home_currency
from inventory.base.roles import BOOK_ROLES, allow_roles
from inventory.models import Workshop
from quotes.base.pages import posted
from quotes.invoicing.documents import receipt_of, statement_paper
from quotes.invoicing.forms import CreditForm, DueForm, PaymentForm, WhyForm
from quotes.invoicing.queries.delivery import why_not_structured
from quotes.invoicing.queries.invoices import (
    PartToInvoice,
    credit_left,
    owed_on,
    parts_of,
    statement_of,
    still_open,
    with_counter_payments,
)
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import correct_payment, record_payment
from quotes.models import Change, Client, Commission, Invoice, Payment, Quote
from quotes.papers.documents.printing import print_paper


@allow_roles(*BOOK_ROLES)
def invoice_part(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Issue the invoice for a part of an accepted price."""
    quote = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    return _issue(request, quote, part=part)


@allow_roles(*BOOK_ROLES)
def invoice_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue the invoice for an agreed change."""
    change = get_object_or_404(Change.objects.select_related("quote__commission__client"), pk=pk)
    return _issue(request, change.quote, change=change)


def _issue(
    request: HttpRequest, quote: Quote, part: int | None = None, change: Change | None = None
) -> HttpResponse:
    is_union_supply = quote.tax_kind == Quote.TaxKind.INTRA_COMMUNITY
    form = DueForm(posted(request), is_union_supply=is_union_supply)
    if form.is_valid():
        with refusals_on(form):
            invoice = issue_invoice(
                quote=quote,
                part=part,
                change=change,
                on=timezone.localdate(),
                **form.cleaned_data,
            )
            messages.success(request, f"{invoice.number} is issued.")
            return redirect("invoice", invoice.pk)
    workshop = Workshop.objects.get()
    wanted = Invoice(commission=quote.commission, quote=quote)
    context = {
        "form": form,
        "quote": quote,
        "change": change,
        "part": None if part is None else _part(quote, part),
        "commission": quote.commission,
        "why_not": why_not_structured(wanted, workshop) if workshop.tax_registered else "",
    }
    return render_form(request, "quotes/invoicing/invoice_new.html", context)


def _part(quote: Quote, place: int) -> PartToInvoice | None:
    parts = parts_of(quote, timezone.localdate()) if quote.state == Quote.State.ACCEPTED else []
    return next((part for part in parts if part.place == place), None)


def invoice(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an invoice with what was paid and credited."""
    rows = Invoice.objects.select_related("commission__client", "quote", "credits")
    row = get_object_or_404(rows, pk=pk)
    owed = still_open(row)
    context = {
        "invoice": row,
        "payments": list(with_counter_payments(row.payments.select_related("invoice"))),
        "credited": list(row.credit_notes.all()),
        "owed": owed,
        "too_much": max(-owed, Decimal(0)),
        "why_not": why_not_structured(row, Workshop.objects.get()),
        "is_late": row.due_on < timezone.localdate() and owed > 0,
    }
    return render(request, "quotes/invoicing/invoice.html", context)


def invoice_document(request: HttpRequest, pk: int) -> HttpResponse:
    """Send an invoice's paper as it was sent."""
    row = get_object_or_404(Invoice, pk=pk)
    with row.document.open() as kept:
        return _pdf(kept.read(), row.number)


@allow_roles(*BOOK_ROLES)
def invoice_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an invoice back, as a whole or in part."""
    row = get_object_or_404(Invoice.objects.select_related("commission__client", "quote"), pk=pk)
    form = CreditForm(posted(request))
    if form.is_valid():
        with refusals_on(form):
            note = credit_invoice(invoice=row, on=timezone.localdate(), **form.cleaned_data)
            messages.success(request, f"{note.number} is issued.")
            return redirect("invoice", note.pk)
    context = {"form": form, "invoice": row, "left": credit_left(row)}
    return render_form(request, "quotes/invoicing/invoice_credit.html", context)


@allow_roles(*BOOK_ROLES)
def payment_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Record what came in for a commission."""
    commission = get_object_or_404(Commission.objects.select_related("client"), pk=pk)
    invoices = commission.invoices.exclude(kind=Invoice.Kind.CREDIT)
    first = _first_open(commission, request.GET.get("invoice", ""))
    amount = still_open(first) if first else Decimal(0)
    initial: dict[str, Any] = {"received_on": timezone.localdate()}
    if first and amount:
        initial |= {"invoice": first.pk, "amount": amount}
    form = PaymentForm(
        posted(request), invoices=invoices, foreign=_foreign_currencies(commission), initial=initial
    )
    if form.is_valid():
        with refusals_on(form):
            _record(form, commission, request)
            return redirect("commission", pk)
    context = {
        "form": form,
        "commission": commission,
        "home": home_currency(),
        "paid_too_much": first,
        "too_much": max(-amount, Decimal(0)),
    }
    return render_form(request, "quotes/invoicing/payment_new.html", context)


def _first_open(commission: Commission, key: str) -> Invoice | None:
    """The invoice that the link named, else the only one of the commission that is still owed."""
    sent = commission.invoices.exclude(kind=Invoice.Kind.CREDIT)
    if key:
        return sent.filter(pk=key).first() if key.isdecimal() else None
    accounts = owed_on(timezone.localdate(), commission.client)
    owed = [one.invoice for account in accounts for one in account.invoices]
    own = [invoice for invoice in owed if invoice.commission_id == commission.pk]
    return own[0] if len(own) == 1 else None


def _foreign_currencies(commission: Commission) -> list[str]:
    """Return the currencies, home's aside, in which the commission is or may be paid."""
    home = home_currency()
    asked = set(commission.quotes.values_list("currency", flat=True))
    asked |= set(commission.invoices.values_list("currency", flat=True))
    return sorted({*asked, commission.client.currency or home} - {home})


def _record(form: PaymentForm, commission: Commission, request: HttpRequest) -> None:
    asked = form.cleaned_data
    accepted = Quote.offers.filter(commission=commission, state=Quote.State.ACCEPTED).first()
    currency = "" if asked["invoice"] or accepted is None else accepted.currency
    payment = record_payment(
        client=commission.client,
        commission=commission,
        currency=currency,
        now=timezone.now(),
        user=request.user,
        **(asked | {"fee": asked["fee"] or 0}),
    )
    receipt = format_html(
        '<a href="{}">{}</a>', reverse("payment_receipt", args=[payment.pk]), payment.number
    )
    messages.success(request, format_html("{} is recorded.", receipt))


@allow_roles(*BOOK_ROLES)
def payment_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Reverse a payment that was recorded by mistake."""
    row = get_object_or_404(Payment.objects.select_related("client", "commission"), pk=pk)
    form = WhyForm(posted(request))
    if form.is_valid():
        with refusals_on(form):
            correct_payment(payment=row, now=timezone.now(), user=request.user, **form.cleaned_data)
            return (
                redirect("commission", row.commission_id)
                if row.commission_id
                else redirect("books")
            )
    context = {"form": form, "payment": row}
    return render_form(request, "quotes/invoicing/payment_correct.html", context)


def payment_receipt(request: HttpRequest, pk: int) -> HttpResponse:
    """Print a receipt."""
    row = get_object_or_404(
        Payment.objects.select_related("client", "invoice", "commission"), pk=pk
    )
    printed = print_paper(
        "quotes/papers/receipt.html", receipt_of(row), made_on=f"{row.received_on}"
    )
    return _pdf(printed, row.number)


def statement(request: HttpRequest, pk: int, currency: str) -> HttpResponse:
    """Print a client's account in one currency, a year back unless said otherwise."""
    client = get_object_or_404(Client, pk=pk)
    until = parse_date(request.GET.get("until", "")) or timezone.localdate()
    since = parse_date(request.GET.get("since", "")) or until.replace(day=1, month=1)
    rows = statement_of(client, currency, since, until)
    paper = statement_paper(client, currency, rows, since, until)
    printed = print_paper("quotes/papers/statement.html", paper, made_on=f"{until}")
    return _pdf(printed, f"statement-{client.pk}-{until}")


def _pdf(printed: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)
