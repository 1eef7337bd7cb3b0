"""Credit an invoice, as a whole or in part: what was sent is never changed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from inventory.refusals import Refusal
from quotes.calc.parts import PaymentPart, part_documents
from quotes.calc.snapshot import from_data
from quotes.calc.tax_document import TaxedDocument, tax_document
from quotes.keeping import all_or_nothing
from quotes.locking import lock_quote
from quotes.models import Invoice
from quotes.queries.invoices import credit_left
from quotes.queries.papers import in_figures
from quotes.services.book_invoice import book_invoice


@all_or_nothing()
def credit_invoice(
    *, invoice: Invoice, on: date, why: str, amount: Decimal | None = None
) -> Invoice:
    """Return a credit note over all that is left of an invoice, or over `amount`, gross.

    Its tax is the invoice's own, at the same rates. Raises Refusal beyond what is left.
    """
    if invoice.is_credit or invoice.quote is None:
        raise Refusal(f"{invoice} is a credit note. Issue an invoice instead.")
    quote = lock_quote(invoice.quote)
    left = credit_left(invoice)
    wanted = left if amount is None else amount
    if not 0 < wanted <= left:
        raise Refusal(
            f"{invoice} has {in_figures(left, invoice.currency)} left to credit; "
            "give an amount above 0 and up to that.",
            field="amount",
        )
    whole = from_data(TaxedDocument, invoice.frozen["document"])
    return book_invoice(
        quote=quote,
        kind=Invoice.Kind.CREDIT,
        document=_below_zero(_share(whole, wanted)),
        title=f"Credit for invoice {invoice.number}",
        concerns=[
            f"Invoice {invoice.number} of {invoice.issued_on.day} {invoice.issued_on:%B %Y}",
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


def _share(whole: TaxedDocument, amount: Decimal) -> TaxedDocument:
    if amount == whole.due:
        return whole
    parts = [
        PaymentPart(name="Credit", amount=amount),
        PaymentPart(name="Rest", amount=whole.due - amount),
    ]
    return part_documents(whole, parts)[0]


def _below_zero(document: TaxedDocument) -> TaxedDocument:
    lines = [replace(line, net=-line.net) for line in document.lines]
    return tax_document(lines, rounding=-document.rounding, unit=document.unit)
