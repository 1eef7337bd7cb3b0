"""What the materials of a quote cost: at replacement with their waste, or as somebody said."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal

from inventory.base.calc.days import day_words
from inventory.base.calc.money import round_money
from inventory.base.calc.units import QUANTITY_PLACES, from_base, unit_word
from inventory.base.queries import price_is_old
from inventory.shelf.calc import DrawWithWaste
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import plain
from quotes.models import QuoteMaterial
from quotes.pricing.calc.tax import cost_to_maker
from shop.patterns.calc import LineNeed, draw_at_net_cost, draw_at_unit_price

SMALLEST = Decimal(1).scaleb(-QUANTITY_PLACES)
NO_TAX = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CostedLine:
    """A material row with its draw (base units), its cost in home money, and what to look at."""

    row: QuoteMaterial
    net: Decimal
    draw: DrawWithWaste
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


def cost_line(
    row: QuoteMaterial, on: date | None = None, bought_tax_rate: Decimal = NO_TAX
) -> CostedLine:
    """Cost one row: the maker's own figure, the replacement price, or the template's seed.

    The last two are net and become dearer by a tax that can't be reclaimed.
    """
    tax = bought_tax_rate * HUNDRED
    inside = f"; with {plain(tax)} % tax" if tax else ""
    need = need_of_quote_row(row)
    price = row.material.replacement_price if row.material else None
    if row.cost_override is not None:
        draw = draw_at_net_cost(need, row.cost_override)
        return CostedLine(
            row=row, net=need.net_base, draw=draw, cost=row.cost_override, how="set by hand"
        )
    if row.material is None or price is None:
        draw = draw_at_net_cost(need, row.seed_cost)
        how = f"starting value {plain(row.seed_cost)}; {draw.rule}{inside}"
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


def need_of_quote_row(row: QuoteMaterial) -> LineNeed:
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


def _seed_warning(row: QuoteMaterial) -> str:
    if row.material is None:
        return ""
    return "the material has no replacement price"


def _age_warning(row: QuoteMaterial, on: date | None) -> str:
    checked = row.material.replacement_checked_on if row.material else None
    if on is None or checked is None or not price_is_old(checked, on):
        return ""
    return f"price last checked on {day_words(checked)}"


def quantity_words(value: Decimal, unit: str) -> str:
    """Write a quantity with its unit, to three places, such as `1.05 m`."""
    number = plain(round_money(value, Decimal("0.001")))
    word = unit_word(unit)
    return number if word == "each" else f"{number} {word}"
