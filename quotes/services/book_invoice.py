"""Book an invoice or a credit note: number it, freeze it, print it once."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from inventory.money import home_unit
from inventory.services.next_number import next_number
from quotes.calc.currency import home_value
from quotes.calc.numbering import DocumentNumber
from quotes.calc.snapshot import as_data
from quotes.calc.tax_document import TaxedDocument
from quotes.documents.printing import print_paper
from quotes.keeping import all_or_nothing, keep_paper
from quotes.models import Change, Invoice, Quote
from quotes.queries.invoice_papers import invoice_paper
from quotes.queries.structured import invoice_xml


@all_or_nothing()
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
    rate, unit = quote.exchange_rate or Decimal(1), home_unit()
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
        home_net=home_value(document.net, rate, unit),
        home_tax=home_value(document.tax, rate, unit),
        why=why,
    )
    paper = invoice_paper(invoice, document, title=title, concerns=concerns)
    xml = invoice_xml(invoice, document, title)
    invoice.frozen = {
        "document": as_data(document),
        "paper": as_data(paper),
        "is_structured": bool(xml),
    }
    printed = print_paper("quotes/papers/invoice.html", paper, made_on=f"{on}", xml=xml)
    keep_paper(invoice, invoice.number, printed)
    invoice.save()
    return invoice


def _series_of(prefix: str) -> str:
    return {"I": "invoice", "C": "credit"}[prefix]
