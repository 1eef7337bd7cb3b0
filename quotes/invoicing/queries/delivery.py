"""Where goods go and when, and an invoice as structured data."""

from datetime import date
from decimal import Decimal

from django.utils import timezone

from inventory.base.calc.days import day_words
from inventory.base.countries import country_name, is_country
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.models import Client, Invoice, PricingPolicy, Quote
from quotes.papers.documents.structured import (
    CREDIT_NOTE,
    INVOICE,
    PREPAYMENT,
    DeliveryInformation,
    Party,
    StructuredInvoice,
    StructuredLine,
    structured_xml,
)
from quotes.pricing.calc.tax import REASONS, TaxableLine, TaxCategory
from quotes.pricing.calc.tax_document import TaxedDocument, TaxGroup


def delivery_of(invoice: Invoice) -> DeliveryInformation | None:
    """Return the delivery that an invoice names, None where it names none.

    Before the goods are delivered an invoice names the time of building instead: from the order to
    the promised day.
    """
    if not (invoice.delivered_on or invoice.deliver_to):
        return None
    since, until = (None, None) if invoice.delivered_on else _time_of_building(invoice)
    return DeliveryInformation(
        country=invoice.deliver_to, delivered_on=invoice.delivered_on, since=since, until=until
    )


def delivery_words(delivery: DeliveryInformation) -> str:
    """Say it on a paper."""
    to = f" to {country_name(delivery.country)}" if delivery.country else ""
    if delivery.delivered_on:
        return f"Delivered{to} on {day_words(delivery.delivered_on)}"
    if delivery.until:
        return f"For delivery{to}, about {day_words(delivery.until)}"
    return f"For delivery{to}"


def country_of_delivery(quote: Quote, said: str) -> str:
    """Return the country that the goods of an invoice go to: as said, or as the tax asks.

    Raises Refusal for what is no country, and where an intra-community supply lacks what it must
    name (BR-IC-02, BR-IC-12).
    """
    is_union_supply = quote.tax_kind == Quote.TaxKind.INTRA_COMMUNITY
    if is_union_supply:
        _check_numbers(quote)
        said = said or quote.commission.client.country
    country = said.upper()
    if (country or is_union_supply) and not is_country(country):
        raise Refusal("Give the country of delivery as a two-letter code.", field="deliver_to")
    return country


def _check_numbers(quote: Quote) -> None:
    client = quote.commission.client
    if not Workshop.objects.values_list("tax_number", flat=True).get():
        raise Refusal(
            "An intra-community supply needs both tax numbers. Enter the workshop's own first."
        )
    if not client.tax_number:
        raise Refusal(
            f"An intra-community supply needs both tax numbers. Enter {client}'s on the client's "
            "page first."
        )


def _time_of_building(invoice: Invoice) -> tuple[date, date]:
    quote = invoice.quote
    ordered = timezone.localtime(quote.decided_at).date() if quote and quote.decided_at else None
    since = min(ordered or invoice.issued_on, invoice.issued_on)
    promised = quote.build.promised_on if quote and quote.build else None
    return since, max(promised or invoice.issued_on, invoice.issued_on)


NAME_THE_BUYER = {Quote.TaxKind.REVERSE, Quote.TaxKind.INTRA_COMMUNITY}
"""Taxes that ask for the client's tax number too (BR-AE-02, BR-IC-02)."""


def why_not_structured(invoice: Invoice, workshop: Workshop) -> str:
    """Say what is missing for the structured part of an invoice; nothing if it can be made."""
    if not workshop.country:
        return "Enter the workshop's country."
    if not workshop.tax_registered:
        return "The workshop is not registered for tax."
    if not workshop.tax_number:
        return "Enter the workshop's tax number."
    client = invoice.commission.client
    if invoice.quote and invoice.quote.tax_kind in NAME_THE_BUYER and not client.tax_number:
        return "Enter the client's tax number."
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
