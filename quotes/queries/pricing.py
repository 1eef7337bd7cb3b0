"""The price of a quote, worked out from its rows at today's replacement prices."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects

from inventory.calc.money import minor_unit, round_money
from inventory.calc.steps import as_percent
from inventory.calc.units import QUANTITY_PLACES, from_base, unit_word
from inventory.calc.waste import Draw
from quotes.calc.basis import (
    BesideLine,
    BoughtLine,
    MaterialLine,
    OwnLine,
    PriceBasis,
    PricingPolicy,
)
from quotes.calc.basis import StageHours as PricedStage
from quotes.calc.checks import HUNDRED
from quotes.calc.contingency import FailureRisk
from quotes.calc.fees import PaymentFee
from quotes.calc.figures import plain
from quotes.calc.pricing import PriceSheet, build_price
from quotes.calc.tax import cost_to_maker
from quotes.models import ContingencyBy, Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage
from quotes.queries.failures import failure_risks
from quotes.queries.taxing import net_of_typed, row_rate_of, shipping_rate_of, tax_rate_of
from shop.calc.line_need import LineNeed, draw_at_net_cost, draw_at_unit_price

SMALLEST = Decimal(1).scaleb(-QUANTITY_PLACES)
QUOTE_ROWS: list[Any] = [
    "stages",
    Prefetch(
        "materials",
        QuoteMaterial.objects.select_related("material", "family", "lot", "template_line"),
    ),
    "extras",
    Prefetch(
        "failures",
        QuoteFailure.objects.select_related("stage", "redo_from").prefetch_related("lost"),
    ),
]
"""What to fetch beside quotes before they are priced: five queries for any number of them."""

NO_TAX = Decimal(0)
OWN_KINDS = {QuoteExtra.Kind.OWN, QuoteExtra.Kind.ALLOWANCE}
PRICE_GROWS_OLD_AFTER = timedelta(days=183)
"""A replacement price that was checked longer ago than half a year is pointed out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostedLine:
    """A material row with its draw (base units), its cost in home money, and what to look at."""

    row: QuoteMaterial
    net: Decimal
    draw: Draw
    cost: Decimal
    how: str
    warning: str = ""

    @property
    def to_draw(self) -> Decimal:
        """What is put aside for one instrument, in whole thousandths of the base unit."""
        return self.draw.drawn.quantize(SMALLEST, rounding=ROUND_CEILING)

    @property
    def wasted_share(self) -> Decimal:
        """The share of the cost for what is used up on average beyond what is drawn."""
        if not self.draw.expected:
            return Decimal(0)
        return max(1 - self.draw.drawn / self.draw.expected, Decimal(0))


def sheet_of(
    quote: Quote,
    stages: Iterable[QuoteStage],
    lines: Iterable[CostedLine],
    extras: Iterable[QuoteExtra],
    *,
    home: str,
) -> PriceSheet:
    """Price a quote from rows that are already at hand."""
    unit = minor_unit(home)
    return build_price(basis_of(quote, stages, lines, extras, unit), policy_of(quote), unit)


def basis_of(
    quote: Quote,
    stages: Iterable[QuoteStage],
    lines: Iterable[CostedLine],
    extras: Iterable[QuoteExtra],
    unit: Decimal,
) -> PriceBasis:
    """Return what goes into a quote's price; `unit` is home money's smallest amount."""
    stages, lines, extras = list(stages), list(lines), list(extras)
    within = [row for row in extras if not row.tax_kind]
    return PriceBasis(
        stages=tuple(_stage(stage) for stage in stages),
        materials=tuple(_material(line, quote) for line in lines if not line.row.tax_kind),
        outside_work=tuple(_bought(row) for row in within if row.kind == row.Kind.OUTSIDE),
        own_lines=tuple(_own(row, quote, unit) for row in within if row.kind in OWN_KINDS),
        packing=tuple(_bought(row) for row in within if row.kind == row.Kind.PACKING),
        last_cents=tuple(_own(row, quote, unit) for row in within if row.kind == row.Kind.CENTS),
        failures=_failures(quote, stages, lines, unit),
        beside=(
            *(_material_beside(line, quote) for line in lines if line.row.tax_kind),
            *(_extra_beside(row, quote, unit) for row in extras if row.tax_kind),
        ),
        shipping=_shipping(quote, unit),
    )


def policy_of(quote: Quote) -> PricingPolicy:
    """Return the pricing policy that was copied into a quote."""
    return PricingPolicy(
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
    """The stages that the quote's options leave switched on."""
    prefetch_related_objects([quote], *QUOTE_ROWS)
    return [row for row in quote.stages.all() if is_on(row, quote)]


def costed_lines(quote: Quote, on: date | None = None) -> list[CostedLine]:
    """Cost every material that is switched on. With a day, old prices are pointed out."""
    prefetch_related_objects([quote], *QUOTE_ROWS)
    tax = quote.bought_tax_rate
    return [cost_line(row, on, tax) for row in quote.materials.all() if is_on(row, quote)]


def cost_line(
    row: QuoteMaterial, on: date | None = None, bought_tax_rate: Decimal = NO_TAX
) -> CostedLine:
    """Cost one row: the maker's own figure, the replacement price, or the template's seed.

    The last two are net and become dearer by a tax that can't be reclaimed.
    """
    tax = bought_tax_rate * HUNDRED
    inside = f"; with {plain(tax)} % tax" if tax else ""
    need = need_of(row)
    price = row.material.replacement_price if row.material else None
    if row.cost_override is not None:
        draw = draw_at_net_cost(need, row.cost_override)
        return CostedLine(
            row=row, net=need.net_base, draw=draw, cost=row.cost_override, how="set by hand"
        )
    if row.material is None or price is None:
        draw = draw_at_net_cost(need, row.seed_cost)
        how = f"seed value {plain(row.seed_cost)}; {draw.rule}{inside}"
        return CostedLine(
            row=row,
            net=need.net_base,
            draw=draw,
            cost=cost_to_maker(draw.cost, tax),
            how=how,
            warning=_seed_warning(row),
        )
    draw = draw_at_unit_price(need, price, row.material.unit)
    used = quantity_words(from_base(draw.expected, row.material.unit), row.material.unit)
    how = f"{draw.rule}: {used} × {plain(price)}{inside}"
    return CostedLine(
        row=row,
        net=need.net_base,
        draw=draw,
        cost=cost_to_maker(draw.cost, tax),
        how=how,
        warning=_age_warning(row, on),
    )


def need_of(row: QuoteMaterial) -> LineNeed:
    """Return what a row needs as plain data."""
    return LineNeed(
        name=row.name,
        quantity=row.quantity,
        unit=row.unit,
        rule=row.waste_rule,
        rate=row.waste_rate,
        spares=row.spares,
        cut_length_mm=row.cut_length_mm,
        stock_length_mm=row.stock_length_mm,
        kerf_mm=row.kerf_mm,
        least_remnant_mm=row.least_remnant_mm,
    )


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
    quote: Quote, stages: list[QuoteStage], lines: list[CostedLine], unit: Decimal
) -> tuple[FailureRisk, ...]:
    if not _is_by_failures(quote):
        return ()
    hours = {f"stage:{stage.pk}": stage.hours for stage in stages}
    costs = {
        f"material:{line.row.pk}": round_money(line.cost, unit)
        - round_money(line.cost * line.wasted_share, unit)
        for line in lines
    }
    return failure_risks(quote, hours, costs)


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


def _extra_beside(row: QuoteExtra, quote: Quote, unit: Decimal) -> BesideLine:
    rate = row_rate_of(row, quote)
    is_bought = row.kind in {row.Kind.OUTSIDE, row.Kind.PACKING}
    return BesideLine(
        name=row.name,
        cost=row.cost if is_bought else net_of_typed(quote, row.cost, rate, unit),
        markup_percent=row.markup * HUNDRED,
        how="" if is_bought else _typed_with_tax(quote, row.cost),
        key=f"extra:{row.pk}",
        tax=rate,
    )


def _bought(row: QuoteExtra) -> BoughtLine:
    return BoughtLine(
        name=row.name, cost=row.cost, markup_percent=row.markup * HUNDRED, key=f"extra:{row.pk}"
    )


def _own(row: QuoteExtra, quote: Quote, unit: Decimal) -> OwnLine:
    how = f"{plain(row.cost)} and {as_percent(row.markup)} markup" if row.markup else ""
    typed = round_money(row.cost * (1 + row.markup), unit)
    return OwnLine(
        name=row.name,
        amount=net_of_typed(quote, typed, tax_rate_of(quote), unit),
        how=how or _typed_with_tax(quote, row.cost),
        key=f"extra:{row.pk}",
    )


def _shipping(quote: Quote, unit: Decimal) -> tuple[BoughtLine, ...]:
    if not quote.shipping:
        return ()
    return (
        BoughtLine(
            name="Shipping",
            cost=net_of_typed(quote, quote.shipping, shipping_rate_of(quote), unit),
            how=_typed_with_tax(quote, quote.shipping),
            key="shipping-cost",
        ),
    )


def _typed_with_tax(quote: Quote, typed: Decimal) -> str:
    return f"{plain(typed)} with tax" if quote.prices_with_tax else ""


def _seed_warning(row: QuoteMaterial) -> str:
    if row.material is None:
        return ""
    return "the material has no replacement price"


def _age_warning(row: QuoteMaterial, on: date | None) -> str:
    checked = row.material.replacement_checked_on if row.material else None
    if on is None or checked is None or on - checked <= PRICE_GROWS_OLD_AFTER:
        return ""
    return f"price last checked on {checked.day} {checked:%B %Y}"


def quantity_words(value: Decimal, unit: str) -> str:
    """Write a quantity with its unit, to three places, such as `1.05 m`."""
    number = plain(round_money(value, Decimal("0.001")))
    word = unit_word(unit)
    return number if word == "each" else f"{number} {word}"
