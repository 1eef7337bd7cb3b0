"""Issue an invoice for a part of the price, or for an agreed change."""

from dataclasses import replace
from datetime import date, timedelta
from typing import TypedDict

from inventory.refusals import Refusal
from quotes.calc.offer import Offer
from quotes.calc.parts import part_documents
from quotes.calc.tax_document import TaxedDocument, tax_document
from quotes.keeping import all_or_nothing
from quotes.locking import lock_quote
from quotes.models import Change, Invoice, PricingPolicy, Quote
from quotes.queries.changes import taxed_change
from quotes.queries.delivery import country_of_delivery
from quotes.queries.invoices import invoiced_parts, is_invoiced
from quotes.queries.offer import offer_of
from quotes.queries.papers import in_figures
from quotes.services.book_invoice import book_invoice


@all_or_nothing()
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
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(f"{locked} is {locked.get_state_display()}; invoices follow acceptance.")
    days = PricingPolicy.objects.get_or_create(pk=1)[0].payment_days
    due_on = due_on or on + timedelta(days=days)
    if due_on < on:
        raise Refusal("An invoice can't be due before it is issued.", field="due_on")
    if delivered_on and delivered_on > on:
        raise Refusal("What is not delivered yet has no day of delivery.", field="delivered_on")
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
        raise Refusal(f"{change} is not agreed and billed, so there is nothing to invoice.")
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
    return tax_document(lines, rounding=document.rounding, unit=document.unit)


def _kind_of(part: int, parts: int) -> str:
    if parts == 1:
        return Invoice.Kind.WHOLE
    if part == 0:
        return Invoice.Kind.DEPOSIT
    return Invoice.Kind.BALANCE if part == parts - 1 else Invoice.Kind.STAGE


def _share(offer: Offer, part: int) -> str:
    whole = in_figures(offer.document.due, offer.currency)
    return f"Part {part + 1} of {len(offer.parts)} of a price of {whole}"
