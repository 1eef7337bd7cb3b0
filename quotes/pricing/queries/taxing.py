"""How a quote and each of its rows is taxed."""

from decimal import Decimal
from typing import Protocol

from inventory.base.calc.money import minor_unit_of
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.calc.checks import HUNDRED
from quotes.models import Change, LineTax, Quote
from quotes.pricing.calc.tax import TaxableLine, TaxCategory, TaxRate, taxed_from_gross
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document
from quotes.pricing.calc.union_supply import Buyer, tax_caution


class TaxedRow(Protocol):
    """A row of a quote, or a change to it, that may have a rate of its own."""

    tax_kind: str
    tax_rate: Decimal | None


def tax_rate_of(quote: Quote) -> TaxRate:
    """Return how the instrument is taxed."""
    return rate_of(TaxCategory(quote.tax_kind), quote.tax_rate)


def rate_of(category: TaxCategory, rate: Decimal) -> TaxRate:
    """Return the rate of a category; a standard rate of 0 % is zero-rated, others carry none."""
    if category is not TaxCategory.STANDARD:
        return TaxRate(category=category)
    if not rate:
        return TaxRate(category=TaxCategory.ZERO)
    return TaxRate(category=category, percent=rate * HUNDRED)


def shipping_rate_of(quote: Quote) -> TaxRate:
    """Return how shipping is taxed."""
    if quote.shipping_tax_rate is None or not has_rates(quote):
        return tax_rate_of(quote)
    return rate_of(TaxCategory.STANDARD, quote.shipping_tax_rate)


def row_rate_of(row: TaxedRow, quote: Quote) -> TaxRate:
    """Return how a row is taxed. Raises Refusal where kind and rate of the row disagree."""
    own = own_rate_of(row)
    return own if own and has_rates(quote) else tax_rate_of(quote)


def own_rate_of(row: TaxedRow) -> TaxRate | None:
    """Return the rate that a row has by itself, None for one taxed with the instrument."""
    if row.tax_kind == LineTax.STANDARD and not row.tax_rate:
        raise Refusal(f"{row}: give its own tax rate.", field="tax_rate")
    if row.tax_kind != LineTax.STANDARD and row.tax_rate:
        raise Refusal(
            f"{row}: a tax rate goes only with “{LineTax.STANDARD.label}”. "
            "Choose that, or leave the rate empty.",
            field="tax_kind",
        )
    if not row.tax_kind:
        return None
    return rate_of(TaxCategory(row.tax_kind), row.tax_rate or Decimal(0))


def net_of_typed(quote: Quote, typed: Decimal, rate: TaxRate, minor_unit: Decimal) -> Decimal:
    """Return the net of a selling price as it was typed, with its tax or without."""
    return taxed_from_gross(typed, rate, minor_unit).net if quote.prices_with_tax else typed


def caution_of(quote: Quote) -> str:
    """Return what a draft's tax leaves to be asked; nothing where a country is not known.

    One query, where the client's country is known.
    """
    client = quote.commission.client
    if not client.country:
        return ""
    shop = Workshop.objects.values_list("country", flat=True).get()
    buyer = Buyer(country=client.country, has_number=bool(client.tax_number))
    return tax_caution(TaxCategory(quote.tax_kind), buyer, shop) if shop else ""


def has_rates(quote: Quote) -> bool:
    """Only at home there are several rates: export and its like hold for the whole document."""
    return quote.tax_kind == Quote.TaxKind.STANDARD


def taxed_change(change: Change) -> TaxedDocument:
    """Return a change with its tax, at its own rate or the quote's; given away it comes to 0."""
    line = TaxableLine(
        name=f"Change order {change.number}: {change.title}",
        net=change.price if change.is_billed else Decimal(0),
        rate=row_rate_of(change, change.quote),
    )
    return tax_document([line], minor_unit=minor_unit_of(change.quote.currency))
