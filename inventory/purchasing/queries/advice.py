"""When to buy more of a material, and how much at once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from django.db.models import F, Min, Sum
from django.db.models.functions import Coalesce

from inventory.base.calc.units import from_base, round_quantity, to_base
from inventory.base.queries import stock_rules
from inventory.base.refusals import Refusal
from inventory.models import DeliveryLine, KeptAs, Material
from inventory.purchasing.calc.reorder import (
    Holding,
    OrderAdvice,
    QuantityPrice,
    ReorderLevel,
    are_countless,
    is_regular,
    lumpy_level,
    order_size,
    reorder_level,
    use_of,
)
from inventory.purchasing.queries.orders import use_of_material, used_by_month

DAYS_IN_MONTH = Decimal("30.4375")
MONTHS = 12
LEAST_DRAWS = 4
LEAST_DAYS = 90
"""Of fewer draws, or of a shorter time, nobody can say how often they come."""
YEAR_DAYS = 365
_ONE = Decimal(1)
LEAST_LEADS, MOST_LEADS = 3, 12
"""Deliveries that tell how a lead time varies: fewer can't, and older ones tell of other days."""

FINEST = 100
"""Draws that are measured, or number hundreds, are told apart in so many steps of the largest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastUse:
    """Use as the books know it, in the unit as shown: `draws` in the last `days` days, and whole
    `months`, the oldest first, since the material was first in the books."""

    draws: tuple[Decimal, ...]
    days: int
    months: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingAdvice:
    """The level in base units; its steps, use and the order size in the unit as shown.

    lead_days: how long the last deliveries took from the order, as far as their variation counts.
    runs_out: percent of orders before which stock runs out at that level, and `runs_out_at_less`
    with one piece less; None where the months count instead of single draws, and the latter where
    stock is measured. `size` is None, with the reason in `no_size`, where there is no best one.
    """

    level: Decimal
    reorder: ReorderLevel
    use: PastUse
    lead_days: tuple[int, ...]
    runs_out: Decimal | None
    runs_out_at_less: Decimal | None
    size: OrderAdvice | None
    no_size: str

    @property
    def months(self) -> tuple[Decimal, ...]:
        """Use in whole months, the oldest first, in the unit as shown."""
        return self.use.months

    @property
    def draws(self) -> int:
        """How many draws use is known from."""
        return len(self.use.draws)


def buying_advice(material: Material, today: date) -> BuyingAdvice:
    """Advice from the use of the last year, the lead time and the shop's rules.

    Raises Refusal when too little is known of its use, or nobody's lead time is.
    """
    use = past_use(material, today)
    if not use.draws:
        raise Refusal("Nothing was used in the last 12 months, so no level can be calculated.")
    lead = material.lead_time
    if lead is None:
        raise Refusal("Enter a lead time first, here or for the supplier.")
    _check_known(use, lead)
    step = _step(material, use.draws)
    lead_days = past_lead_days(material)
    reorder = _reorder(material, use, lead, step, lead_days)
    size, no_size = _size(material, sum(use.draws, Decimal(0)) * YEAR_DAYS / use.days)
    level = reorder.level * step if reorder.lasts is not None else reorder.level
    return BuyingAdvice(
        level=round_quantity(to_base(_whole(material, level), material.unit)),
        reorder=reorder if reorder.lasts is None else _in_unit(reorder, step),
        use=use,
        lead_days=() if reorder.lasts is not None else lead_days,
        runs_out=_runs_out(reorder.lasts),
        runs_out_at_less=_runs_out(reorder.at_less) if step == 1 else None,
        size=size,
        no_size=no_size,
    )


def _check_known(use: PastUse, lead: int) -> None:
    least = max(LEAST_DAYS, lead)
    if len(use.draws) < LEAST_DRAWS or use.days < least:
        raise Refusal(
            f"Known from {len(use.draws)} draws in {use.days} days only. A level needs at least "
            f"{LEAST_DRAWS} draws, and {least} days since the material was first recorded."
        )


def past_use(material: Material, today: date) -> PastUse:
    """Return what each holder drew on one day, net of what came back, and use in whole months.

    What comes back counts for the day on which it was drawn. A draw that was undone is none. Use is
    read back a year, or to the first entry; the month in which that was is no whole one.
    """
    first = material.entries.aggregate(day=Min("happened_at__date"))["day"] or today
    days = min(max((today - first).days, 1), YEAR_DAYS)
    months = used_by_month(material, today, MONTHS)
    whole = (today.year - first.year) * MONTHS + today.month - first.month - (first.day > 1)
    rows = (
        use_of_material(material, today - timedelta(days))
        .annotate(drawn_on=Coalesce("about__happened_at__date", "happened_at__date"))
        .values("holder", "drawn_on")
        .annotate(quantity=Sum("quantity"))
    )
    sizes = (-from_base(row["quantity"], material.unit) for row in rows)
    own = months[-whole:] if whole > 0 else []
    return PastUse(
        draws=tuple(size for size in sizes if size > 0),
        days=days,
        months=tuple(from_base(one, material.unit) for one in own),
    )


def past_lead_days(material: Material) -> tuple[int, ...]:
    """Return the days that its last deliveries took from the order, the latest first; none where
    they are too few to tell how that varies."""
    ordered = DeliveryLine.objects.filter(
        material=material,
        order_line__order__sent_on__isnull=False,
        delivery__received_on__gte=F("order_line__order__sent_on"),
    )
    days = ordered.order_by("-delivery__received_on", "-delivery_id").values_list(
        "delivery_id", "order_line__order__sent_on", "delivery__received_on"
    )
    each = {key: (came - sent).days for key, sent, came in days.distinct()[:MOST_LEADS] if sent}
    return tuple(each.values()) if len(each) >= LEAST_LEADS else ()


def _reorder(
    material: Material, use: PastUse, lead: int, step: Decimal, lead_days: tuple[int, ...]
) -> ReorderLevel:
    service = stock_rules().service_level / 100
    draws = [max(round(one / step), 1) for one in use.draws]
    months = [one / step for one in use.months]
    pack = from_base(material.pack, material.unit) if material.pack else step
    if (len(months) == MONTHS and is_regular(draws, use_of(months))) or are_countless(
        len(draws), use.days, lead
    ):
        return reorder_level(
            use_of(use.months),
            Decimal(lead) / DAYS_IN_MONTH,
            lead_deviation=use_of([Decimal(one) for one in lead_days]).deviation / DAYS_IN_MONTH,
            one_draw=sum(use.draws, Decimal(0)) / len(use.draws),
            service_level=service,
        )
    return lumpy_level(
        draws, use.days, lead, pack=max(round(pack / step), 1), service_level=service
    )


def _step(material: Material, draws: Sequence[Decimal]) -> Decimal:
    """Return what sizes of draws are told apart by: one piece, or a part of the largest draw."""
    part = max(draws) / FINEST
    return max(part.to_integral_value(ROUND_CEILING), _ONE) if _is_whole(material) else part


def _in_unit(found: ReorderLevel, step: Decimal) -> ReorderLevel:
    """Turn a level and its steps from steps of a draw into the unit as shown."""
    counted = {"draws known", "days in which they came", "lead time in days"}
    return replace(
        found,
        level=found.level * step,
        over_lead_time=found.over_lead_time * step,
        safety=found.safety * step,
        steps=tuple(
            one if one.words in counted else one._replace(figure=one.figure * step)
            for one in found.steps
        ),
    )


def _runs_out(lasts: Decimal | None) -> Decimal | None:
    return None if lasts is None else round(100 * (1 - lasts), 1)


def _is_whole(material: Material) -> bool:
    return material.kept_as in {KeptAs.PIECE, KeptAs.COUNT}


def _whole(material: Material, level: Decimal) -> Decimal:
    """Pieces and counts are whole: a level between two is the higher."""
    if _is_whole(material):
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
    if pack is None and _is_whole(material):
        pack = _ONE
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
