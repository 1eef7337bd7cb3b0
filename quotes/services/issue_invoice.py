"""Issue an invoice for a part of the price, or for an agreed change."""

from dataclasses import replace
from datetime import date, timedelta

from inventory.refusals import Refusal
from quotes.calc.offer import Offer
from quotes.calc.parts import part_documents
from quotes.calc.tax import TaxableLine
from quotes.calc.tax_document import TaxedDocument, tax_document
from quotes.keeping import all_or_nothing
from quotes.locking import lock_quote
from quotes.models import Change, Invoice, PricingPolicy, Quote
from quotes.queries.invoices import invoiced_parts, is_invoiced
from quotes.queries.offer import offer_of
from quotes.queries.papers import in_figures
from quotes.queries.taxing import tax_rate_of
from quotes.services.book_invoice import book_invoice


@all_or_nothing()
def issue_invoice(
    *,
    quote: Quote,
    on: date,
    part: int | None = None,
    change: Change | None = None,
    due_on: date | None = None,
) -> Invoice:
    """Return the invoice for part `part` (from 0) of an accepted quote, or for a change.

    Due after the shop's days of payment unless said otherwise. Raises Refusal for what is not
    accepted or agreed, or has been invoiced and not credited.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ACCEPTED:
        raise Refusal(f"{locked} is {locked.get_state_display()}; invoices follow acceptance.")
    days = PricingPolicy.objects.get_or_create(pk=1)[0].payment_days
    due_on = due_on or on + timedelta(days=days)
    if due_on < on:
        raise Refusal("An invoice can't be due before it is issued.", field="due_on")
    if change is not None:
        return _invoice_change(locked, change, on, due_on)
    return _invoice_part(locked, part or 0, on, due_on)


def _invoice_part(quote: Quote, part: int, on: date, due_on: date) -> Invoice:
    offer = offer_of(quote, on=on)
    if not 0 <= part < len(offer.parts):
        raise Refusal(f"The price has {len(offer.parts)} parts.", field="part")
    name = offer.parts[part].name
    if part in invoiced_parts(quote):
        raise Refusal(f"{name} of {quote.number} is invoiced already.", field="part")
    return book_invoice(
        quote=quote,
        kind=_kind_of(part, len(offer.parts)),
        document=_named(part_documents(offer.document, offer.parts)[part], name, quote),
        title=f"{name} for {quote.title}",
        concerns=[f"Quote {quote.number}, version {quote.version}", _share(offer, part)],
        part=part,
        on=on,
        due_on=due_on,
    )


def _invoice_change(quote: Quote, change: Change, on: date, due_on: date) -> Invoice:
    if change.state != Change.State.AGREED or not change.is_billed:
        raise Refusal(f"{change} is not agreed and billed, so there is nothing to invoice.")
    if is_invoiced(change):
        raise Refusal(f"{change} is invoiced already.")
    name = f"Change {change.number}: {change.title}"
    line = TaxableLine(name=name, net=change.price, rate=tax_rate_of(quote))
    return book_invoice(
        quote=quote,
        kind=Invoice.Kind.CHANGE,
        document=tax_document([line]),
        title=name,
        concerns=[f"Quote {quote.number}, version {quote.version}"],
        change=change,
        on=on,
        due_on=due_on,
    )


def _named(document: TaxedDocument, name: str, quote: Quote) -> TaxedDocument:
    """Name the lines of a part after the instrument."""
    lines = [replace(line, name=f"{name}: {quote.title}") for line in document.lines]
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
