"""What to buy and when: reorder level from past use and lead time, order size with price breaks."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from statistics import NormalDist

from inventory.base.calc.steps import ExplainedStep, as_percent
from inventory.base.refusals import Refusal

_ZERO = Decimal(0)

REGULAR = Decimal("0.3")

_SMALLEST = Decimal("0.001")
"""Quantities are whole thousandths."""


@dataclass(frozen=True, slots=True)
class UsageStats:
    """Use in one period (a month as a rule): the mean, and how widely it varies."""

    mean: Decimal
    deviation: Decimal = _ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class ReorderLevel:
    """Order when free stock falls to `level`: the use of the lead time and what is kept safe."""

    level: Decimal
    over_lead_time: Decimal
    safety: Decimal
    service_level: Decimal
    steps: tuple[ExplainedStep, ...]


@dataclass(frozen=True, slots=True)
class QuantityPrice:
    """The price of one from `at_least` on."""

    at_least: Decimal
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What keeping one for a year costs: an amount, and a share of its price."""

    amount: Decimal = _ZERO
    share: Decimal = _ZERO

    def of(self, price: Decimal) -> Decimal:
        """Return the cost of keeping one of this price for a year."""
        return self.amount + self.share * price


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSize:
    """One order size with what a year costs at it; full precision."""

    quantity: Decimal
    price: Decimal
    purchase: Decimal
    ordering: Decimal
    holding: Decimal

    @property
    def total(self) -> Decimal:
        """Purchase, ordering and holding for a year."""
        return self.purchase + self.ordering + self.holding


@dataclass(frozen=True, slots=True)
class OrderAdvice:
    """The cheapest order size, and the best of every price break that was weighed."""

    best: OrderSize
    weighed: tuple[OrderSize, ...]


def use_of(periods: Sequence[Decimal]) -> UsageStats:
    """Return mean and sample deviation of use over past periods, those without use included."""
    if not periods:
        return UsageStats(_ZERO)
    mean = sum(periods, _ZERO) / len(periods)
    if len(periods) == 1:
        return UsageStats(mean)
    squares = sum(((one - mean) ** 2 for one in periods), _ZERO)
    return UsageStats(mean, (squares / (len(periods) - 1)).sqrt())


def reorder_level(
    use: UsageStats,
    lead_periods: Decimal,
    *,
    lead_deviation: Decimal = _ZERO,
    service_level: Decimal = Decimal("0.95"),
) -> ReorderLevel:
    """Return the level at which to order, so that stock lasts in `service_level` of lead times.

    Level = d L + z sqrt(L s² + d² l²) with use d, deviation s, lead time L and its deviation l;
    z from the normal distribution, not from a rounded table.
    """
    if not Decimal("0.5") <= service_level < 1:
        raise Refusal(
            "The service level must be at least 0.5 and below 1; 0.95 is 95 %.", field="service"
        )
    if lead_periods < 0:
        raise Refusal("The lead time must be at least 0.", field="lead_periods")
    z = Decimal(repr(NormalDist().inv_cdf(float(service_level))))
    over_lead = use.mean * lead_periods
    variance = lead_periods * use.deviation**2 + use.mean**2 * lead_deviation**2
    safety = z * variance.sqrt()
    steps = (
        ExplainedStep("use in a month", use.mean),
        ExplainedStep("lead time in months", lead_periods),
        ExplainedStep("use over the lead time", over_lead),
        ExplainedStep("standard deviation over the lead time", variance.sqrt()),
        ExplainedStep(f"standard deviations for a service level of {as_percent(service_level)}", z),
        ExplainedStep("safety stock", safety),
        ExplainedStep("reorder level", over_lead + safety),
    )
    return ReorderLevel(
        level=over_lead + safety,
        over_lead_time=over_lead,
        safety=safety,
        service_level=service_level,
        steps=steps,
    )


def lumpy_level(
    draws: Sequence[int], days: int, lead_days: int, *, service_level: Decimal = Decimal("0.95")
) -> ReorderLevel:
    """Return the level at which to order, from the sizes of single `draws` met in `days`.

    Draws come at random (gamma-Poisson: the rate is known from so many cases only) and each is as
    large as one of those met; the level also covers how far a draw may fall below it before the
    order goes out. Panjer's recursion gives use over the lead time exactly. Source: H. H. Panjer,
    ASTIN Bulletin 12, 1981 (from memory).
    """
    if not draws or min(draws) < 1 or days < 1 or lead_days < 0:
        raise Refusal("A level needs draws of at least 1, and days in which they were met.")
    if not Decimal("0.5") <= service_level < 1:
        raise Refusal(
            "The service level must be at least 0.5 and below 1; 0.95 is 95 %.", field="service"
        )
    number, largest = len(draws), max(draws)
    met = [sum(one == size for one in draws) / number for size in range(largest + 1)]
    mean = sum(draws) / number
    below = [sum(met[size + 1 :]) / mean for size in range(largest)]
    shape, none = number + 0.5, days / (days + lead_days)
    used = [none**shape]
    lasts = used[0] * below[0]
    while lasts < float(service_level):
        size = len(used)
        parts = ((1 - none) * (1 + (shape - 1) * j / size) for j in range(1, size + 1))
        kept = (met[j] * used[size - j] if j <= largest else 0.0 for j in range(1, size + 1))
        used.append(sum(part * one for part, one in zip(parts, kept, strict=True)))
        lasts += sum(below[u] * used[size - u] for u in range(min(largest, size + 1)))
    level, over = Decimal(len(used) - 1), Decimal(repr(mean * shape / days * lead_days))
    steps = (
        ExplainedStep("draws known", Decimal(number)),
        ExplainedStep("mean size of a draw", Decimal(repr(mean))),
        ExplainedStep("lead time in days", Decimal(lead_days)),
        ExplainedStep("use over the lead time", over),
        ExplainedStep("chance of running out, percent", 100 * (1 - Decimal(repr(lasts)))),
        ExplainedStep("reorder level", level),
    )
    return ReorderLevel(
        level=level,
        over_lead_time=over,
        safety=level - over,
        service_level=service_level,
        steps=steps,
    )


def is_regular(draws: Sequence[int], use: UsageStats) -> bool:
    """Say whether use in whole months varies far less than draws at random would have it.

    Draws at random give a variance of mean use x mean square / mean of a draw; under 0.3 of that
    falls one material in seventy by chance, in twelve months (chi-square, 11 degrees of freedom).
    """
    at_random = use.mean * sum(size**2 for size in draws) / sum(draws)
    return use.deviation**2 < REGULAR * at_random


def order_size(
    annual_use: Decimal,
    order_cost: Decimal,
    breaks: Sequence[QuantityPrice],
    holding: Holding,
    *,
    least_order: Decimal = _ZERO,
    pack: Decimal | None = None,
) -> OrderAdvice:
    """Return the order size with the least cost in a year: sqrt(2 D S / H) within each price.

    A price whose best size lies in the next one's range is not weighed where that is cheaper; where
    the next is dearer, the largest size before it is.
    With `pack` only whole packs are ordered. Raises Refusal when nothing is used, an order costs
    nothing or keeping costs nothing: then there is no best size.
    """
    if min(annual_use, order_cost) <= 0 or not breaks:
        raise Refusal("The order size needs a yearly use, an ordering cost and a price.")
    ranked = sorted(breaks, key=lambda one: one.at_least)
    ends: list[QuantityPrice | None] = [*ranked[1:], None]
    weighed = []
    for here, following in zip(ranked, ends, strict=True):
        quantities = _quantities(
            _root(annual_use, order_cost, holding.of(here.price)),
            (max(here.at_least, least_order), following.at_least if following else None),
            pack,
            up_to_end=bool(following and following.price > here.price),
        )
        sizes = [_size(annual_use, order_cost, here.price, holding, one) for one in quantities]
        if sizes:
            weighed.append(min(sizes, key=lambda size: (size.total, size.quantity)))
    return OrderAdvice(min(weighed, key=lambda size: (size.total, size.quantity)), tuple(weighed))


def whole_order(wanted: Decimal, *, least_order: Decimal = _ZERO, pack: Decimal = _ZERO) -> Decimal:
    """Return what to order for `wanted`: the least order or more, in whole packs; 0 for nothing."""
    if wanted <= 0:
        return _ZERO
    quantity = max(wanted, least_order)
    return _up_to(quantity, pack) if pack else quantity


def price_at(quantity: Decimal, breaks: Sequence[QuantityPrice]) -> Decimal | None:
    """Return the price of one when `quantity` is ordered; None under the first break."""
    reached = [one for one in breaks if one.at_least <= quantity]
    return max(reached, key=lambda one: one.at_least).price if reached else None


def _root(annual_use: Decimal, order_cost: Decimal, keeping: Decimal) -> Decimal:
    if keeping <= 0:
        raise Refusal("The order size needs a storage cost above 0.", field="holding")
    return (2 * annual_use * order_cost / keeping).sqrt()


def _quantities(
    ideal: Decimal,
    within: tuple[Decimal, Decimal | None],
    pack: Decimal | None,
    *,
    up_to_end: bool,
) -> list[Decimal]:
    """Return the sizes to weigh in a price's range: the ideal one, or the packs around it."""
    least, end = within
    if end is not None and max(ideal, least) >= end:
        if not up_to_end or least >= end:
            return []
        ideal = end - (pack or _SMALLEST)
    nearest = max(ideal, least)
    if not pack:
        return [nearest]
    around = [nearest / pack, least / pack]
    packs = {around[0].to_integral_value(ROUND_FLOOR), *(_ceil(one) for one in around)}
    sizes = sorted(count * pack for count in packs if count)
    return [one for one in sizes if one >= least and (end is None or one < end)]


def _size(
    annual_use: Decimal, order_cost: Decimal, price: Decimal, holding: Holding, quantity: Decimal
) -> OrderSize:
    return OrderSize(
        quantity=quantity,
        price=price,
        purchase=annual_use * price,
        ordering=annual_use / quantity * order_cost,
        holding=quantity / 2 * holding.of(price),
    )


def _up_to(quantity: Decimal, pack: Decimal) -> Decimal:
    return _ceil(quantity / pack) * pack


def _ceil(number: Decimal) -> Decimal:
    return number.to_integral_value(ROUND_CEILING)
