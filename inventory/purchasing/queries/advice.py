"""When to buy more of a material, and how much at once."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from django.db.models import Sum

from inventory.base.calc.units import from_base, round_quantity, to_base
from inventory.base.queries import stock_rules
from inventory.base.refusals import Refusal
from inventory.models import KeptAs, Material
from inventory.purchasing.calc import (
    Holding,
    OrderAdvice,
    QuantityPrice,
    ReorderLevel,
    is_regular,
    lumpy_level,
    order_size,
    reorder_level,
    use_of,
)
from inventory.purchasing.queries.orders import used_by_month

DAYS_IN_MONTH = Decimal("30.4375")
MONTHS = 12
YEAR_DAYS = 365
WHOLE = (KeptAs.PIECE, KeptAs.COUNT)
ENOUGH_DRAWS = 4
"""With fewer draws in a year their sizes say too little, and the months are gone by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingAdvice:
    """The level in base units; its steps and the order size in the unit as shown.

    `size` is None, with the reason in `no_size`, where no best order size exists.
    """

    level: Decimal
    reorder: ReorderLevel
    months: tuple[Decimal, ...]
    size: OrderAdvice | None
    no_size: str


def buying_advice(material: Material, today: date) -> BuyingAdvice:
    """Advice from the use of the last 12 whole months, the lead time and the shop's rules.

    Raises Refusal when nothing was used in them, or nobody's lead time is known.
    """
    months = [
        from_base(quantity, material.unit) for quantity in used_by_month(material, today, MONTHS)
    ]
    if not any(months):
        raise Refusal(
            f"Nothing was used in the last {MONTHS} months, so no level can be calculated."
        )
    lead = material.lead_time
    if lead is None:
        raise Refusal("Enter a lead time first, here or for the supplier.")
    rules = stock_rules()
    service = rules.service_level / 100
    draws = draws_of(material, today) if material.kept_as in WHOLE else []
    if len(draws) >= ENOUGH_DRAWS and not is_regular(draws, use_of(months)):
        reorder = lumpy_level(draws, YEAR_DAYS, lead, service_level=service)
    else:
        months_of_lead = Decimal(lead) / DAYS_IN_MONTH
        reorder = reorder_level(use_of(months), months_of_lead, service_level=service)
    size, no_size = _size(material, sum(months, Decimal(0)))
    return BuyingAdvice(
        level=round_quantity(to_base(_whole(material, reorder.level), material.unit)),
        reorder=reorder,
        months=tuple(months),
        size=size,
        no_size=no_size,
    )


def draws_of(material: Material, today: date) -> list[int]:
    """What each holder drew on one day in the last year, net of what came back, in whole pieces."""
    rows = (
        material.entries.filter(
            reason__in=("drawn", "returned"), happened_at__date__gte=today - timedelta(YEAR_DAYS)
        )
        .order_by()
        .values("holder", "happened_at__date")
        .annotate(quantity=Sum("quantity"))
    )
    sizes = (round(-from_base(row["quantity"], material.unit)) for row in rows)
    return [size for size in sizes if size > 0]


def _whole(material: Material, level: Decimal) -> Decimal:
    """Pieces and counts are whole: a level between two is the higher."""
    if material.kept_as in {KeptAs.PIECE, KeptAs.COUNT}:
        return level.to_integral_value(ROUND_CEILING)
    return level


def _size(material: Material, annual: Decimal) -> tuple[OrderAdvice | None, str]:
    rules = stock_rules()
    breaks = [
        QuantityPrice(from_base(row.least, material.unit), row.price)
        for row in material.price_breaks.all()
    ]
    if not breaks and material.replacement_price:
        breaks = [QuantityPrice(Decimal(0), material.replacement_price)]
    pack = from_base(material.pack, material.unit) if material.pack else None
    if pack is None and material.kept_as in {KeptAs.PIECE, KeptAs.COUNT}:
        pack = Decimal(1)
    try:
        advice = order_size(
            annual,
            rules.order_cost,
            breaks,
            Holding(share=rules.holding_percent / 100),
            least_order=breaks[0].at_least if breaks else Decimal(0),
            pack=pack,
        )
    except Refusal as refusal:
        return None, refusal.sentence
    return advice, ""
