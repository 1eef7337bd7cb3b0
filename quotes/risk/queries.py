"""What a quote's price risks: its job run many times, from past builds, waste and moving prices.

Import this module where it is used, since NumPy and SciPy take time to load.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np
from django.db.models import prefetch_related_objects

from inventory.base.calc.money import round_up_to_step
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import NOTHING
from quotes.models import Quote
from quotes.pricing.calc.contingency import FailureRisk
from quotes.pricing.calc.offer import Offer, OfferedMaterial, OfferedStage
from quotes.pricing.queries.failures import failure_risks, offered_hours, offered_lines, times_lost
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS
from quotes.risk.calc import (
    ChancePoint,
    PriceMovement,
    PriceRisk,
    Quantile,
    RiskyJob,
    chance_curve,
    hour_range,
    met_by_chance,
    price_for_chance,
    risk_of,
    sampled_hours,
    simulate,
)
from quotes.shop_rate.calc import work_out_rate
from quotes.shop_rate.queries import shop_year
from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.distributions import student_quantile
from shop.estimates.calc.records import Estimate, StageEstimate
from shop.estimates.queries.estimates import estimate_for
from shop.models import WasteRule

SEED = 1
"""The same for every quote, so that the same question has the same answer."""

CURVE_POINTS = 41
TABLE = (np.arange(2000) + 0.5) / 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskAsked:
    """A net price (None: the quote's own), the chance wanted, and what is taken for granted.

    Percentages. `prices_move` and `money_moves` are standard deviations until the client pays,
    `redo_varies` is one of the hours of each making again. `redo_hours` go into each piece that
    fails beside the piece itself, where the quote does not tell what may go wrong in its stage.
    """

    price: Decimal | None = None
    chance: Decimal = Decimal(80)
    prices_move: Decimal = Decimal(5)
    money_moves: Decimal = Decimal(4)
    redo_hours: Decimal = Decimal(2)
    redo_varies: Decimal = Decimal(40)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskSheet:
    """What a price risks and what that is worked out from; prices are net, without shipping.

    `reaching` is the price that earns the wanted pay in the chance asked for. `whose` says where
    the hours are from, `certain_hours` how many of them have no range. `wanted` and `overhead`
    are money per hour; `is_planned` tells that they are the year plan's.
    """

    asked: RiskAsked
    quoted: Decimal
    risk: PriceRisk
    reaching: Decimal
    curve: tuple[ChancePoint, ...]
    whose: str
    certain_hours: Decimal
    failures: tuple[FailureRisk, ...]
    bought: Decimal
    wanted: Decimal
    overhead: Decimal
    is_planned: bool
    is_foreign: bool
    lowest: Decimal
    highest: Decimal
    step: Decimal


def risk_sheet(quote: Quote, asked: RiskAsked, *, on: date) -> RiskSheet:
    """Run the quote's job sixty thousand times. The same question always has the same answer.

    Raises Refusal for a quote without a price or without hours.
    """
    prefetch_related_objects([quote], *QUOTE_ROWS)
    offer = offer_of(quote, on=on)
    estimate = _estimate(quote, on)
    hours, certain = _hours(quote, offer, estimate)
    wanted, overhead, is_planned = _per_hour(quote)
    chances = _failing(quote)
    failures = (
        *failure_risks(quote, offered_hours(offer), offered_lines(quote, offer)),
        *_rejects(
            offer.built_in,
            _beyond(chances, times_lost(quote, offered_hours(offer))),
            _hours_of_rejects(quote, asked.redo_hours),
        ),
    )
    bought = sum((line.cost for line in offer.built_in), NOTHING)
    bought -= sum((line.waste for line in offer.built_in if line.key in chances), NOTHING)
    job = RiskyJob(
        hours=hours,
        overhead_per_hour=overhead,
        wanted_per_hour=wanted,
        moving_cost=bought,
        fixed_cost=offer.sheet.cost_of("outside")
        + offer.sheet.cost_of("packing")
        + quote.fee_fixed * len(offer.parts)
        + _fee_on_the_rest(quote, offer),
        failures=failures,
        cost_movement=PriceMovement(spread_percent=asked.prices_move),
        takings_movement=PriceMovement(
            spread_percent=asked.money_moves if offer.is_foreign else NOTHING
        ),
        fee_percent=_taken_off(quote, offer),
        together=estimate.common_share if estimate else Assumptions().common_share,
        redo_spread_percent=asked.redo_varies,
    )
    runs = simulate(job, seed=SEED)
    price = offer.sheet.price if asked.price is None else asked.price
    step = quote.price_step or Decimal(1)
    lowest, highest = _reach(offer.sheet.price, price, step)
    return RiskSheet(
        asked=asked,
        quoted=offer.sheet.price,
        risk=risk_of(runs, price),
        reaching=price_for_chance(runs, asked.chance, step),
        curve=chance_curve(runs, _prices(lowest, highest)),
        whose=estimate.whose
        if estimate
        else "From low, likely and high hours of the quote's rows.",
        certain_hours=certain,
        failures=failures,
        bought=bought,
        wanted=wanted,
        overhead=overhead,
        is_planned=is_planned,
        is_foreign=offer.is_foreign,
        lowest=lowest,
        highest=highest,
        step=step,
    )


def _estimate(quote: Quote, on: date) -> Estimate | None:
    if quote.template is None:
        return None
    try:
        return estimate_for(quote.template, on=on, options=quote.options)
    except Refusal:
        return None


def _hours(
    quote: Quote, offer: Offer, estimate: Estimate | None
) -> tuple[tuple[Quantile, ...], Decimal]:
    """Return the distribution of each offered stage, and the hours that have none."""
    known = {stage.key: stage for stage in estimate.stages} if estimate else {}
    keys = {f"stage:{row.pk}": f"{row.template_stage_id}" for row in quote.stages.all()}
    found, certain = [], NOTHING
    for stage in offer.stages:
        if own := known.get(keys.get(stage.key, "")):
            found.append(_from_past(own, 1 - quote.batch_saving if quote.part_of_id else 1))
        elif _has_range(stage):
            found.append(hour_range(stage.hours_low, stage.hours, stage.hours_high))
        elif stage.hours:
            found.append(hour_range(stage.hours, stage.hours, stage.hours))
            certain += stage.hours
    if not found:
        raise Refusal("This quote has no hours yet, so there is nothing to simulate.")
    return tuple(found), certain


def _has_range(stage: OfferedStage) -> bool:
    return stage.hours_low <= stage.hours <= stage.hours_high and stage.hours_high > 0


def _from_past(stage: StageEstimate, share: Decimal | int) -> Quantile:
    """Tabulate the Student t of the log of hours that past builds left, times the share needed."""
    spread = student_quantile(TABLE, np.full_like(TABLE, stage.degrees))
    hours = sampled_hours(np.exp(stage.centre + stage.scale * spread) * float(share))
    return met_by_chance(hours, stage.chance)


def _failing(quote: Quote) -> dict[str, Decimal]:
    """Return the chance in percent that a whole piece is rejected, by the key of its line."""
    return {
        f"material:{row.pk}": row.waste_rate * HUNDRED
        for row in quote.materials.all()
        if row.waste_rule == WasteRule.WHOLE and row.waste_rate
    }


def _beyond(chances: Mapping[str, Decimal], times: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return what is left of each chance of a reject where failures that lose the line are told.

    They are part of what its rate says is lost: `times` on average, of r / (1 - r) in all.
    """
    left = {}
    for key, percent in chances.items():
        told = times.get(key, NOTHING)
        more = percent / (HUNDRED - percent) - told
        if not told:
            left[key] = percent
        elif more > 0:
            left[key] = HUNDRED * more / (1 + more)
    return left


def _hours_of_rejects(quote: Quote, redo_hours: Decimal) -> dict[str, Decimal]:
    """Return the hours of a rejected piece by its line: none where its stage tells its own."""
    told = {failure.stage.template_stage_id for failure in quote.failures.all()} - {None}
    return {
        f"material:{row.pk}": NOTHING
        if row.template_line and row.template_line.stage_id in told
        else redo_hours
        for row in quote.materials.all()
    }


def _rejects(
    materials: Iterable[OfferedMaterial],
    chances: Mapping[str, Decimal],
    hours: Mapping[str, Decimal],
) -> Iterable[FailureRisk]:
    """Turn the rejects that lines expect into failures with a chance: r of cost c / (1 - r)."""
    for line in materials:
        if line.waste and line.key in chances:
            yield FailureRisk(
                name=line.name,
                stage=line.name,
                chance_percent=chances[line.key],
                hours=hours[line.key],
                cost=line.cost - line.waste,
            )


def _per_hour(quote: Quote) -> tuple[Decimal, Decimal, bool]:
    """Return wanted pay and overhead per hour; without a year plan the whole shop rate is pay."""
    year = shop_year()
    if year is None:
        return quote.shop_rate, NOTHING, False
    rate = work_out_rate(year)
    return rate.pay_per_hour, rate.overhead_per_hour, True


def _taken_off(quote: Quote, offer: Offer) -> Decimal:
    """Return the dealer's discount and the payment fee together, in percent of the net price."""
    return (1 - (1 - quote.dealer_discount) * (1 - _fee_of_net(quote, offer))) * HUNDRED


def _fee_of_net(quote: Quote, offer: Offer) -> Decimal:
    """Return the payment fee as a share of the net: it is of what is paid, tax in it."""
    net = offer.document.net
    return quote.fee_percent * (offer.document.gross / net if net else 1)


def _fee_on_the_rest(quote: Quote, offer: Offer) -> Decimal:
    """Return the fee on what is paid beside the instrument: further ones, shipping, goods.

    The instrument's price has the fees of the whole order in it, so it bears all of them.
    """
    rest = offer.sheet.net - offer.sheet.own_net
    return _fee_of_net(quote, offer) * max(rest, NOTHING)


def _reach(quoted: Decimal, price: Decimal, step: Decimal) -> tuple[Decimal, Decimal]:
    low, high = min(quoted, price) * Decimal("0.6"), max(quoted, price) * Decimal("1.5")
    return round_up_to_step(low, step), round_up_to_step(high, step)


def _prices(lowest: Decimal, highest: Decimal) -> list[Decimal]:
    width = (highest - lowest) / (CURVE_POINTS - 1)
    return [lowest + width * place for place in range(CURVE_POINTS)]
