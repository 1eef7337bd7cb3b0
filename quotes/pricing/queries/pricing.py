"""The price of a quote, worked out from its rows at today's replacement prices."""

from collections.abc import Iterable
from copy import copy
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.steps import as_percent
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import CENT, Figure, added_up, plain
from quotes.models import ContingencyBy, Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage
from quotes.pricing.calc.basis import (
    BesideLine,
    BoughtLine,
    FurtherInstrument,
    MaterialLine,
    OwnLine,
    PriceBasis,
    PricingFigures,
)
from quotes.pricing.calc.basis import StageHours as PricedStage
from quotes.pricing.calc.contingency import FailureRisk, LossLine
from quotes.pricing.calc.fees import NO_FEE, PaymentFee
from quotes.pricing.calc.pricing import PriceSheet, build_price
from quotes.pricing.queries.costing import CostedLine, cost_line, quantity_words
from quotes.pricing.queries.failures import failure_risks, keys_rejected_whole
from quotes.pricing.queries.taxing import net_of_typed, row_rate_of, shipping_rate_of, tax_rate_of

OWN_ROWS: list[Any] = [
    "stages",
    Prefetch(
        "materials",
        QuoteMaterial.objects.select_related(
            "material", "family", "lot__material", "template_line"
        ),
    ),
    "extras",
    Prefetch(
        "failures",
        QuoteFailure.objects.select_related("stage", "redo_from").prefetch_related("lost"),
    ),
]
"""What to fetch beside one instrument before it is priced: five queries for any number of them."""

QUOTE_ROWS: list[Any] = [
    *OWN_ROWS,
    Prefetch(
        "further",
        Quote.objects.select_related("template")
        .prefetch_related(*OWN_ROWS)
        .order_by("place", "pk"),
    ),
]
"""The same for quotes with all their instruments: a query more, and five for further ones."""

OWN_KINDS = {QuoteExtra.Kind.OWN, QuoteExtra.Kind.ALLOWANCE}


def sheet_of(
    quote: Quote,
    stages: Iterable[QuoteStage],
    lines: Iterable[CostedLine],
    extras: Iterable[QuoteExtra],
    *,
    home: str,
) -> PriceSheet:
    """Price a quote from rows that are already at hand."""
    minor_unit = minor_unit_of(home)
    basis = basis_of(quote, stages, lines, extras, minor_unit)
    return build_price(with_further(basis, quote, minor_unit), policy_of(quote), minor_unit)


def with_further(basis: PriceBasis, quote: Quote, minor_unit: Decimal) -> PriceBasis:
    """Return the basis of a quote with its further instruments, each priced by itself.

    What they have that is sold beside an instrument stands beside the first one.
    """
    if quote.part_of_id is not None:
        return basis
    prefetch_related_objects([quote], *QUOTE_ROWS)
    further, beside = [], list(basis.beside)
    for one in quote.further.all():
        lines = costed_lines(one)
        own = basis_of(one, stages_on(one), lines, one.extras.all(), minor_unit)
        beside += own.beside
        further.append(_further(one, own, minor_unit))
    return replace(basis, further=tuple(further), beside=tuple(beside))


def _further(one: Quote, basis: PriceBasis, minor_unit: Decimal) -> FurtherInstrument:
    """Price an instrument alone: fees and shipping are the whole order's, and counted there."""
    policy = replace(policy_of(one), fee=NO_FEE)
    sheet = build_price(replace(basis, beside=(), shipping=()), policy, minor_unit)
    return FurtherInstrument(
        name=f"{one.title}, dealer’s discount taken off" if one.dealer_discount else one.title,
        figure=_told_apart(added_up(one.title, sheet.steps, key=f"instrument:{one.pk}")),
        tax=policy.tax,
        with_tax=sheet.gross if one.prices_with_tax else None,
    )


def _told_apart(figure: Figure) -> Figure:
    """Take the keys from what it opens to: `labour` is the first instrument's."""
    return replace(figure, parts=tuple(replace(_told_apart(part), key="") for part in figure.parts))


def basis_of(
    quote: Quote,
    stages: Iterable[QuoteStage],
    lines: Iterable[CostedLine],
    extras: Iterable[QuoteExtra],
    minor_unit: Decimal,
) -> PriceBasis:
    """Return what goes into a quote's price; `minor_unit` is home money's smallest amount."""
    stages, lines, extras = list(stages), list(lines), list(extras)
    within = [row for row in extras if not row.tax_kind]
    return PriceBasis(
        stages=tuple(_stage(stage) for stage in stages),
        materials=tuple(_material(line, quote) for line in lines if not line.row.tax_kind),
        outside_work=tuple(_bought(row) for row in within if row.kind == row.Kind.OUTSIDE),
        own_lines=tuple(_own(row, quote, minor_unit) for row in within if row.kind in OWN_KINDS),
        packing=tuple(_bought(row) for row in within if row.kind == row.Kind.PACKING),
        last_cents=tuple(
            _own(row, quote, minor_unit) for row in within if row.kind == row.Kind.CENTS
        ),
        failures=_failures(quote, stages, lines, minor_unit),
        beside=(
            *(_material_beside(line, quote) for line in lines if line.row.tax_kind),
            *(_extra_beside(row, quote, minor_unit) for row in extras if row.tax_kind),
        ),
        shipping=_shipping(quote, minor_unit),
    )


def policy_of(quote: Quote) -> PricingFigures:
    """Return the pricing policy that was copied into a quote."""
    return PricingFigures(
        shop_rate=quote.shop_rate,
        contingency_percent=Decimal(0) if _is_by_failures(quote) else quote.contingency * HUNDRED,
        rush_percent=quote.rush * HUNDRED,
        fee=PaymentFee(
            percent=quote.fee_percent * HUNDRED,
            fixed=quote.fee_fixed,
            payments=len(quote.parts.split()),
        ),
        dealer_percent=quote.dealer_discount * HUNDRED,
        price_step=quote.price_step,
        step_with_tax=quote.prices_with_tax,
        tax=tax_rate_of(quote),
        shipping_tax=shipping_rate_of(quote),
    )


def stages_on(quote: Quote) -> list[QuoteStage]:
    """The stages that the quote's options leave switched on, with the hours that count."""
    prefetch_related_objects([quote], *OWN_ROWS)
    return [_less_saving(row, quote) for row in quote.stages.all() if is_on(row, quote)]


def _less_saving(row: QuoteStage, quote: Quote) -> QuoteStage:
    """Take off what making it beside the first instrument saves; the row itself stays as typed."""
    if not (quote.part_of_id and quote.batch_saving):
        return row
    counted = copy(row)
    for name in ("hours", "hours_low", "hours_high"):
        setattr(counted, name, round_money(getattr(row, name) * (1 - quote.batch_saving), CENT))
    counted.basis = (
        f"{row.basis}; {plain(row.hours)} h less {as_percent(quote.batch_saving)} beside the first"
    )
    return counted


def costed_lines(quote: Quote, on: date | None = None) -> list[CostedLine]:
    """Cost every material that is switched on. With a day, old prices are pointed out."""
    prefetch_related_objects([quote], *OWN_ROWS)
    tax = quote.bought_tax_rate
    return [cost_line(row, on, tax) for row in quote.materials.all() if is_on(row, quote)]


def is_on(row: QuoteStage | QuoteMaterial, quote: Quote) -> bool:
    """Say whether a row counts with the options as they are."""
    return not row.option or row.option in quote.options


def _stage(stage: QuoteStage) -> PricedStage:
    return PricedStage(name=stage.name, hours=stage.hours, how=stage.basis, key=f"stage:{stage.pk}")


def _material(line: CostedLine, quote: Quote) -> MaterialLine:
    row = line.row
    return MaterialLine(
        name=row.name,
        family=row.family.name if row.family else "Other",
        quantity=quantity_words(row.quantity, row.unit),
        cost=line.cost,
        markup_percent=_markup(row, quote) * HUNDRED,
        how=line.how,
        key=f"material:{row.pk}",
    )


def _is_by_failures(quote: Quote) -> bool:
    return quote.contingency_by == ContingencyBy.FAILURES


def _failures(
    quote: Quote, stages: list[QuoteStage], lines: list[CostedLine], minor_unit: Decimal
) -> tuple[FailureRisk, ...]:
    if not _is_by_failures(quote):
        return ()
    hours = {f"stage:{stage.pk}": stage.hours for stage in stages}
    whole = keys_rejected_whole(quote)
    losses = {}
    for line in lines:
        key, wasted = (
            f"material:{line.row.pk}",
            round_money(line.cost * line.wasted_share, minor_unit),
        )
        losses[key] = LossLine(
            cost=round_money(line.cost, minor_unit) - wasted,
            rejected=wasted if key in whole else Decimal(0),
        )
    return failure_risks(quote, hours, losses)


def _markup(row: QuoteMaterial, quote: Quote) -> Decimal:
    return quote.material_markup if row.markup is None else row.markup


def _material_beside(line: CostedLine, quote: Quote) -> BesideLine:
    row = line.row
    return BesideLine(
        name=row.name,
        cost=line.cost,
        markup_percent=_markup(row, quote) * HUNDRED,
        how=f"{quantity_words(row.quantity, row.unit)}; {line.how}",
        key=f"material:{row.pk}",
        tax=row_rate_of(row, quote),
    )


def _extra_beside(row: QuoteExtra, quote: Quote, minor_unit: Decimal) -> BesideLine:
    rate = row_rate_of(row, quote)
    is_bought = row.kind in {row.Kind.OUTSIDE, row.Kind.PACKING}
    return BesideLine(
        name=row.name,
        cost=row.cost if is_bought else net_of_typed(quote, row.cost, rate, minor_unit),
        markup_percent=row.markup * HUNDRED,
        with_tax=None if is_bought or row.markup else _with_tax(quote, row.cost, minor_unit),
        how="" if is_bought else _typed_with_tax(quote, row.cost),
        key=f"extra:{row.pk}",
        tax=rate,
    )


def _bought(row: QuoteExtra) -> BoughtLine:
    return BoughtLine(
        name=row.name, cost=row.cost, markup_percent=row.markup * HUNDRED, key=f"extra:{row.pk}"
    )


def _own(row: QuoteExtra, quote: Quote, minor_unit: Decimal) -> OwnLine:
    how = f"{plain(row.cost)} and {as_percent(row.markup)} markup" if row.markup else ""
    typed = round_money(row.cost * (1 + row.markup), minor_unit)
    return OwnLine(
        name=row.name,
        amount=net_of_typed(quote, typed, tax_rate_of(quote), minor_unit),
        how=how or _typed_with_tax(quote, row.cost),
        key=f"extra:{row.pk}",
    )


def _shipping(quote: Quote, minor_unit: Decimal) -> tuple[BoughtLine, ...]:
    if not quote.shipping:
        return ()
    return (
        BoughtLine(
            name="Shipping",
            cost=net_of_typed(quote, quote.shipping, shipping_rate_of(quote), minor_unit),
            with_tax=_with_tax(quote, quote.shipping, minor_unit),
            how=_typed_with_tax(quote, quote.shipping),
            key="shipping-cost",
        ),
    )


def _with_tax(quote: Quote, typed: Decimal, minor_unit: Decimal) -> Decimal | None:
    return round_money(typed, minor_unit) if quote.prices_with_tax else None


def _typed_with_tax(quote: Quote, typed: Decimal) -> str:
    return f"{plain(typed)} with tax" if quote.prices_with_tax else ""
