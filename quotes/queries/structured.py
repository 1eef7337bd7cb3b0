"""What an invoice says as structured data, or why it can't be said."""

from decimal import Decimal

from inventory.models import Workshop
from quotes.calc.tax import REASONS, TaxableLine, TaxCategory
from quotes.calc.tax_document import TaxedDocument, TaxGroup
from quotes.documents.structured import (
    CREDIT_NOTE,
    INVOICE,
    PREPAYMENT,
    Party,
    StructuredInvoice,
    StructuredLine,
    structured_xml,
)
from quotes.models import Client, Invoice, PricingPolicy, Quote
from quotes.queries.delivery import delivery_of

NAME_THE_BUYER = {Quote.TaxKind.REVERSE, Quote.TaxKind.INTRA_COMMUNITY}
"""Taxes that ask for the client's tax number too (BR-AE-02, BR-IC-02)."""


def why_not_structured(invoice: Invoice, workshop: Workshop) -> str:
    """Say what is missing for the structured part of an invoice; nothing if it can be made."""
    if not workshop.country:
        return "The workshop's country is not known."
    if not workshop.tax_registered:
        return "The workshop is not registered for tax."
    if not workshop.tax_number:
        return "The workshop has no tax number."
    client = invoice.commission.client
    if invoice.quote and invoice.quote.tax_kind in NAME_THE_BUYER and not client.tax_number:
        return "The client's tax number is not known."
    return ""


def invoice_xml(invoice: Invoice, document: TaxedDocument, note: str) -> bytes:
    """Return factur-x.xml of an invoice that is being booked; empty where it can't be made."""
    workshop = Workshop.objects.get()
    if why_not_structured(invoice, workshop):
        return b""
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    sign = -1 if invoice.is_credit else 1
    return structured_xml(
        StructuredInvoice(
            number=invoice.number,
            kind=_kind(invoice),
            issued_on=invoice.issued_on,
            due_on=None if invoice.is_credit else invoice.due_on,
            currency=invoice.currency,
            note=note,
            seller=_seller(workshop),
            buyer=_buyer(invoice.commission.client, workshop),
            delivery=delivery_of(invoice),
            lines=tuple(_line(line, sign) for line in document.lines),
            groups=tuple(_group(group, sign) for group in document.groups),
            net=sign * document.net,
            tax=sign * document.tax,
            rounding=sign * document.rounding,
            due=sign * document.due,
            iban="" if invoice.is_credit else policy.iban,
            account_holder=policy.account_holder or workshop.name,
            credits=invoice.credits.number if invoice.credits else "",
        )
    )


def _kind(invoice: Invoice) -> str:
    if invoice.is_credit:
        return CREDIT_NOTE
    return PREPAYMENT if invoice.kind == Invoice.Kind.DEPOSIT else INVOICE


def _seller(workshop: Workshop) -> Party:
    return Party(
        name=workshop.name,
        address=tuple(workshop.address.splitlines()),
        country=workshop.country,
        tax_number=workshop.tax_number,
    )


def _buyer(client: Client, workshop: Workshop) -> Party:
    """A client whose country was never said counts as living in the shop's own."""
    return Party(
        name=client.name,
        address=tuple(client.address.splitlines()),
        country=client.country or workshop.country,
        tax_number=client.tax_number,
    )


def _line(line: TaxableLine, sign: int) -> StructuredLine:
    return StructuredLine(
        name=line.name,
        net=sign * line.net,
        tax=Decimal(0),
        category=line.rate.category,
        percent=line.rate.percent,
        reason="",
    )


def _group(group: TaxGroup, sign: int) -> StructuredLine:
    untaxed = group.rate.category not in {TaxCategory.STANDARD, TaxCategory.ZERO}
    return StructuredLine(
        name="",
        net=sign * group.taxable,
        tax=sign * group.tax,
        category=group.rate.category,
        percent=group.rate.percent,
        reason=REASONS[group.rate.category] if untaxed else "",
    )
