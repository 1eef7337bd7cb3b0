"""Invoices and credit notes: booked, issued, credited."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import TypedDict

from inventory.base.attempts import in_attempts
from inventory.base.calc.days import day_words
from inventory.base.calc.money import check_whole_units, in_home_money
from inventory.base.queries import home_minor_unit
from inventory.base.refusals import Refusal
from inventory.base.services import next_number
from quotes.base.calc.numbering import DocumentNumber
from quotes.base.calc.snapshot import as_data, from_data
from quotes.base.keeping import atomic_with_files, store_paper
from quotes.base.locking import lock_order, lock_quote
from quotes.invoicing.bookkeeping import settle_invoice
from quotes.invoicing.documents import invoice_paper
from quotes.invoicing.queries.delivery import country_of_delivery, invoice_xml
from quotes.invoicing.queries.invoices import credit_left, invoiced_parts, is_invoiced
from quotes.invoicing.refusals import check_order
from quotes.models import Change, Invoice, PricingPolicy, Quote
from quotes.papers.documents.printing import print_paper
from quotes.papers.documents.quote import in_figures
from quotes.pricing.calc.offer import Offer
from quotes.pricing.calc.parts import PaymentPart, part_documents
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.taxing import taxed_change


@in_attempts
@atomic_with_files()
def book_invoice(
    *,
    quote: Quote,
    kind: str,
    document: TaxedDocument,
    title: str,
    concerns: Sequence[str],
    on: date,
    due_on: date,
    delivered_on: date | None = None,
    deliver_to: str = "",
    part: int | None = None,
    change: Change | None = None,
    credits: Invoice | None = None,
    why: str = "",
) -> Invoice:
    """Return the invoice; the only writer of invoices. The caller has checked that it is due.

    Invoices and credit notes each have a series of their own that runs without gaps in a year.
    """
    prefix = "C" if kind == Invoice.Kind.CREDIT else "I"
    if kind != Invoice.Kind.CREDIT:
        check_order(on)
    rate, minor_unit = quote.exchange_rate or Decimal(1), home_minor_unit()
    number = DocumentNumber(prefix, on.year, next_number(series=f"{_series_of(prefix)}:{on.year}"))
    invoice = Invoice(
        commission=quote.commission,
        quote=quote,
        change=change,
        credits=credits,
        kind=kind,
        part=part,
        number=str(number),
        issued_on=on,
        due_on=due_on,
        delivered_on=delivered_on,
        deliver_to=deliver_to,
        currency=quote.currency,
        exchange_rate=rate,
        net=document.net,
        tax=document.tax,
        gross=document.due,
        home_net=in_home_money(document.net, rate, minor_unit),
        home_tax=in_home_money(document.tax, rate, minor_unit),
        why=why,
        unsettled=Decimal(0) if credits else document.due,
    )
    paper = invoice_paper(invoice, document, title=title, concerns=concerns)
    xml = invoice_xml(invoice, document, title)
    invoice.frozen = {
        "document": as_data(document),
        "paper": as_data(paper),
        "is_structured": bool(xml),
    }
    printed = print_paper("quotes/papers/invoice.html", paper, made_on=f"{on}", xml=xml)
    store_paper(invoice, invoice.number, printed)
    invoice.save()
    settle_invoice(credits, -invoice.gross)
    return invoice


def _series_of(prefix: str) -> str:
    return {"I": "invoice", "C": "credit"}[prefix]


@in_attempts
@atomic_with_files()
def issue_invoice(
    *,
    quote: Quote,
    on: date,
    part: int | None = None,
    change: Change | None = None,
    due_on: date | None = None,
    delivered_on: date | None = None,
    deliver_to: str = "",
) -> Invoice:
    """Return the invoice for part `part` (from 0) of an accepted quote, or for a change.

    Due after the shop's days of payment unless said otherwise. An intra-community supply goes to
    the client's country unless `deliver_to` says another. Raises Refusal for what is not accepted
    or agreed, or has been invoiced and not credited, and where what the tax must name is missing.
    """
    locked = lock_quote(quote) if change else lock_order(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(
            f"{locked} is {locked.get_state_display()}; invoices follow once it is accepted."
        )
    days = PricingPolicy.objects.get_or_create(pk=1)[0].payment_days
    due_on = due_on or on + timedelta(days=days)
    if due_on < on:
        raise Refusal("An invoice can't be due before it is issued.", field="due_on")
    if delivered_on and delivered_on > on:
        raise Refusal(
            "The delivery date is in the future. Leave it empty until delivered.",
            field="delivered_on",
        )
    if locked.is_time_and_materials and change is None:
        raise Refusal(f"{locked} is charged by time and materials. Invoice the work done instead.")
    invoiced = _change_invoiced(locked, change) if change else _part_invoiced(locked, part or 0, on)
    return book_invoice(
        **invoiced,
        quote=locked,
        change=change,
        on=on,
        due_on=due_on,
        delivered_on=delivered_on,
        deliver_to=country_of_delivery(locked, deliver_to),
    )


class Invoiced(TypedDict, total=False):
    """What an invoice is for."""

    kind: str
    document: TaxedDocument
    title: str
    concerns: list[str]
    part: int


def _part_invoiced(quote: Quote, part: int, on: date) -> Invoiced:
    offer = offer_of(quote, on=on)
    if not 0 <= part < len(offer.parts):
        raise Refusal(f"The price has {len(offer.parts)} parts.", field="part")
    name = offer.parts[part].name
    if part in invoiced_parts(quote):
        raise Refusal(f"{name} of {quote.number} is invoiced already.", field="part")
    return Invoiced(
        kind=_kind_of(part, len(offer.parts)),
        document=_named(part_documents(offer.document, offer.parts)[part], name, quote, offer),
        title=f"{name} for {quote.title}",
        concerns=[f"Quote {quote.number}, version {quote.version}", _share(offer, part)],
        part=part,
    )


def _change_invoiced(quote: Quote, change: Change) -> Invoiced:
    if change.state != Change.State.AGREED or not change.is_billed:
        raise Refusal(
            f"{change} is not agreed, or is free of charge, so there is nothing to invoice."
        )
    if is_invoiced(change):
        raise Refusal(f"{change} is invoiced already.")
    document = taxed_change(change)
    return Invoiced(
        kind=Invoice.Kind.CHANGE,
        document=document,
        title=document.lines[0].name,
        concerns=[f"Quote {quote.number}, version {quote.version}"],
    )


def _named(document: TaxedDocument, name: str, quote: Quote, offer: Offer) -> TaxedDocument:
    """Name the line of each rate after the instrument, or after what is sold beside it there."""
    instrument, *beside = offer.document.lines
    lines = []
    for line in document.lines:
        goods = ", ".join(good.name for good in beside if good.rate == line.rate)
        what = quote.title if line.rate == instrument.rate else goods
        lines.append(replace(line, name=f"{name}: {what}"))
    return tax_document(lines, rounding=document.rounding, minor_unit=document.unit)


def _kind_of(part: int, parts: int) -> str:
    if parts == 1:
        return Invoice.Kind.WHOLE
    if part == 0:
        return Invoice.Kind.DEPOSIT
    return Invoice.Kind.BALANCE if part == parts - 1 else Invoice.Kind.STAGE


def _share(offer: Offer, part: int) -> str:
    whole = in_figures(offer.document.due, offer.currency)
    return f"Part {part + 1} of {len(offer.parts)} of a price of {whole}"


@in_attempts
@atomic_with_files()
def credit_invoice(
    *, invoice: Invoice, on: date, why: str, amount: Decimal | None = None
) -> Invoice:
    """Return a credit note over all that is left of an invoice, or over `amount`, gross.

    Its tax is the invoice's own, at the same rates. Raises Refusal beyond what is left.
    """
    if invoice.is_credit or invoice.quote is None:
        raise Refusal(f"{invoice} is already a credit note. Issue an invoice instead.")
    quote = lock_quote(invoice.quote)
    left = credit_left(invoice)
    wanted = left if amount is None else amount
    check_whole_units(wanted, invoice.currency)
    if not 0 < wanted <= left:
        raise Refusal(
            f"{invoice} has {in_figures(left, invoice.currency)} left to credit. "
            "Give an amount above 0 and up to that.",
            field="amount",
        )
    whole = from_data(TaxedDocument, invoice.frozen["document"])
    return book_invoice(
        quote=quote,
        kind=Invoice.Kind.CREDIT,
        document=_below_zero(_share_of_credit_invoice(whole, wanted)),
        title=f"Credit for invoice {invoice.number}",
        concerns=[
            f"Invoice {invoice.number} of {day_words(invoice.issued_on)}",
            why,
        ],
        change=invoice.change,
        credits=invoice,
        why=why,
        on=on,
        due_on=on,
        delivered_on=invoice.delivered_on,
        deliver_to=invoice.deliver_to,
    )


def _share_of_credit_invoice(whole: TaxedDocument, amount: Decimal) -> TaxedDocument:
    if amount == whole.due:
        return whole
    parts = [
        PaymentPart(name="Credit", amount=amount),
        PaymentPart(name="Remainder", amount=whole.due - amount),
    ]
    return part_documents(whole, parts)[0]


def _below_zero(document: TaxedDocument) -> TaxedDocument:
    lines = [replace(line, net=-line.net) for line in document.lines]
    return tax_document(lines, rounding=-document.rounding, minor_unit=document.unit)
