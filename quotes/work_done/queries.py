"""Work done on an order without a fixed price, as the clock, the shelf and the bills tell it."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.base.queries import home_minor_unit
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED
from quotes.closing.queries.materials import materials_of
from quotes.invoicing.queries.invoices import standing_invoices
from quotes.models import Invoice, Quote
from quotes.pricing.calc.tax import TaxableLine
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document
from quotes.pricing.queries.taxing import tax_rate_of
from quotes.work_done.calc import ChargedLine, charged_hours, charged_materials
from shop.hours.queries.hours import hours_by_stage


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDone:
    """What is charged so far and its document; no document while there is nothing to charge.

    `redone_minutes` are rework, which the client doesn't pay; `invoice` is the one that stands.
    """

    lines: tuple[ChargedLine, ...]
    document: TaxedDocument | None
    redone_minutes: Decimal
    invoice: Invoice | None


def work_done(quote: Quote) -> WorkDone:
    """Add up an accepted quote by time and materials, as the books stand now.

    Hours at the quote's rate without rework, materials at replacement with the quote's markup,
    what was bought for it at cost. Raises Refusal for a quote with a fixed price or no build.
    """
    build = quote.build
    if not quote.is_time_and_materials or build is None:
        raise Refusal(f"{quote} is not an order charged by time and materials.")
    minor_unit = home_minor_unit()
    stages = hours_by_stage(build)
    tax = quote.bought_tax_rate * HUNDRED
    used = [row for row in materials_of(build).drawn if not row.is_scrap]
    lines = (
        *charged_hours(
            ((f"{one.stage or 'Work'}", one.minutes - one.redone_minutes) for one in stages),
            quote.shop_rate,
            minor_unit,
        ),
        *charged_materials(
            ((row.material.name, row.at_replacement(tax)) for row in used),
            quote.material_markup * HUNDRED,
            minor_unit,
        ),
        *(
            ChargedLine(name=f"{paid}", how="as paid", net=paid.amount)
            for paid in build.expenses.all()
        ),
    )
    rate = tax_rate_of(quote)
    taxable = [TaxableLine(name=line.name, net=line.net, rate=rate) for line in lines if line.net]
    return WorkDone(
        lines=lines,
        document=tax_document(taxable, minor_unit=minor_unit) if taxable else None,
        redone_minutes=sum((one.redone_minutes for one in stages), Decimal(0)),
        invoice=standing_invoices(quote).filter(part=0).first(),
    )
