"""What to buy and when: reorder level from past use and lead time, order size with price breaks."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import ceil, log
from statistics import NormalDist

from inventory.base.calc.steps import ExplainedStep, as_percent
from inventory.base.refusals import Refusal

_ZERO = Decimal(0)

REGULAR = Decimal("0.3")

RATE_PRIOR = 0.5
"""Draws that stand for what is not known of their rate (a gamma prior, as Jeffreys has it)."""

NOTHING = 1e-12
SURELY_SOME = 1e-200
_SMALLEST = Decimal("0.001")
"""Quantities are whole thousandths."""


@dataclass(frozen=True, slots=True)
class UsageStats:
    """Use in one period (a month as a rule): the mean, and how widely it varies."""

    mean: Decimal
    deviation: Decimal = _ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class ReorderLevel:
    """Order when stock falls below `level`: the use of the lead time and what is kept safe.

    lasts: the chance that it lasts until the order comes, and `at_less` with one step less, where
    they are worked out from single draws.
    """

    level: Decimal
    over_lead_time: Decimal
    safety: Decimal
    service_level: Decimal
    steps: tuple[ExplainedStep, ...]
    lasts: Decimal | None = None
    at_less: Decimal | None = None


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
    one_draw: Decimal = _ZERO,
    service_level: Decimal = Decimal("0.95"),
) -> ReorderLevel:
    """Return the level at which to order, so that stock lasts in `service_level` of lead times.

    Level = d L + z sqrt(L s² + d² l²) with use d, deviation s, lead time L and its deviation l;
    z from the normal distribution, not from a rounded table. `one_draw` on top is what the draw
    that sets off the order takes below the level.
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
        *(
            (ExplainedStep("standard deviation of the lead time in months", lead_deviation),)
            if lead_deviation
            else ()
        ),
        ExplainedStep("standard deviation over the lead time", variance.sqrt()),
        ExplainedStep(f"standard deviations for a service level of {as_percent(service_level)}", z),
        ExplainedStep("safety stock", safety),
        *((ExplainedStep("one draw, which may fall below it", one_draw),) if one_draw else ()),
        ExplainedStep("reorder level", over_lead + safety + one_draw),
    )
    return ReorderLevel(
        level=over_lead + safety + one_draw,
        over_lead_time=over_lead,
        safety=safety,
        service_level=service_level,
        steps=steps,
    )


def lumpy_level(
    draws: Sequence[int],
    days: int,
    lead_days: int,
    *,
    pack: int = 1,
    service_level: Decimal = Decimal("0.95"),
) -> ReorderLevel:
    """Return the least level that lasts: whole packs are bought up to it once stock is below it.

    draws: sizes of single draws met in `days`. They come at random (gamma-Poisson: the rate is
    known from so many cases only) and each is as large as one of those met. Panjer's recursion
    gives use over the lead time; what the draw that sets off an order takes below the level hangs
    on the pack. `at_less` of the answer is the chance that one step less would last. Sources: H. H.
    Panjer, ASTIN Bulletin 12, 1981; for stock spread evenly over a pack after an order, Hadley and
    Whitin, Analysis of Inventory Systems, 1963, chapter 4 (both from memory).
    """
    if not draws or min(draws) < 1 or min(days, pack) < 1 or lead_days < 0:
        raise Refusal("A level needs draws of at least 1, and days in which they were met.")
    if not Decimal("0.5") <= service_level < 1:
        raise Refusal(
            "The service level must be at least 0.5 and below 1; 0.95 is 95 %.", field="service"
        )
    sizes, number, largest = Counter(draws), len(draws), max(draws)
    shapes = {size: met + RATE_PRIOR * (size == largest) for size, met in sizes.items()}
    if are_countless(number, days, lead_days):
        raise Refusal("So many draws come in one lead time that use in months says as much.")
    lasts = _chances_to_last(shapes, _taken_below(sizes, pack), days, lead_days, service_level)
    mean = sum(draws) / number
    expected = sum(size * shape for size, shape in shapes.items()) / days * lead_days
    level, over = Decimal(len(lasts) - 1), Decimal(repr(expected))
    steps = (
        ExplainedStep("draws known", Decimal(number)),
        ExplainedStep("days in which they came", Decimal(days)),
        ExplainedStep("mean size of a draw", Decimal(repr(mean))),
        ExplainedStep("lead time in days", Decimal(lead_days)),
        ExplainedStep("use over the lead time", over),
        ExplainedStep("reorder level", level),
    )
    return ReorderLevel(
        level=level,
        over_lead_time=over,
        safety=level - over,
        service_level=service_level,
        steps=steps,
        lasts=Decimal(repr(lasts[-1])),
        at_less=Decimal(repr(lasts[-2])),
    )


def are_countless(number: int, days: int, lead_days: int) -> bool:
    """Say whether no draw at all in the lead time is so unlikely that it can't be told from never.

    Then hundreds come in it, and their sum is as good as normal.
    """
    return (number + RATE_PRIOR) * log(days / (days + lead_days)) < log(SURELY_SOME)


def _chances_to_last(
    shapes: Mapping[int, float],
    below: Sequence[float],
    days: int,
    lead_days: int,
    service_level: Decimal,
) -> list[float]:
    """Return the chance that stock lasts at a level of 0, 1, 2 … until it is `service_level`."""
    import numpy as np

    none = days / (days + lead_days)
    terms = np.array(_rising(shapes, 1 - none))
    off = np.array(below)
    # Newest first, so that each step is one product of two runs of numbers.
    used = np.array([none ** sum(shapes.values())])
    lasts = [0.0]
    while True:
        # Below a level by u, and then no more than the rest used over the lead time.
        reach = min(len(off) - 1, len(used))
        lasts.append(lasts[-1] + float(off[1 : reach + 1] @ used[:reach]))
        if lasts[-1] >= float(service_level):
            return lasts
        reach = min(len(terms) - 1, len(used))
        after = float(terms[1 : reach + 1] @ used[:reach]) / (len(lasts) - 1)
        used = np.concatenate(([after], used[: max(len(terms), len(off))]))


def _rising(shapes: Mapping[int, float], again: float) -> list[float]:
    """Return the terms of the recursion: draws of each size come at a rate of their own.

    A size met n times has a gamma rate of shape n, so that draws of it over the lead time are
    negative binomial, with the chance `again` of one more; terms end where they are nothing.
    """
    most = max(shapes) * (1 if again == 0 else max(ceil(log(NOTHING) / log(again)), 1))
    terms = [0.0] * (most + 1)
    for size, shape in shapes.items():
        for times in range(1, most // size + 1):
            terms[times * size] += shape * size * again**times
    return terms


def _taken_below(sizes: Mapping[int, int], pack: int) -> list[float]:
    """Return the chance that the draw which sets off an order takes stock so far below the level.

    Before that draw, stock is anywhere from the level to less than a pack above it.
    """
    counts = [sizes.get(size, 0) for size in range(max(sizes) + 1)]
    far = [0, *(sum(counts[least : least + pack]) for least in range(1, len(counts)))]
    return [one / sum(far) for one in far]


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
