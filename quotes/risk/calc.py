"""What a price risks: many runs of one job, from hour ranges, failures and moving prices.

Money comes in and goes out as `Decimal`; between, NumPy works with floats. Import this module
where it is used, since NumPy and SciPy take time to load.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from math import ceil, log, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, log_ndtr, ndtr

from inventory.base.calc.money import round_money, round_up_to_step
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED, not_below_zero, percent_below, percent_up_to_100
from quotes.base.calc.figures import CENT, NOTHING
from quotes.pricing.calc.contingency import FailureRisk
from shop.estimates.calc.totals import shuffled_normals

Floats = NDArray[np.float64]
Quantile = Callable[[Floats], Floats]

CHANCES: Floats = np.concatenate(([0.0], ndtr(np.linspace(-6, 6, 601)), [1.0]))
"""Where a distribution is tabulated: close together towards both ends, where hours turn fast."""

RUNS = 60_000
"""So many that a chance moves by 0.1 percentage points with another seed (standard deviation): the
price that is safe in so many cases hangs on it, on every sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceMovement:
    """How far something moves before it is paid: by `expected_percent`, give or take `spread`.

    `spread_percent` is a standard deviation. The factor is lognormal, so it never goes below 0.
    """

    expected_percent: Decimal = NOTHING
    spread_percent: Decimal = NOTHING

    def __post_init__(self) -> None:
        if self.expected_percent <= -HUNDRED:
            raise Refusal("A price can't fall by 100 % or more.", field="expected_percent")
        percent_up_to_100(self.spread_percent, "The spread", "spread_percent")


STILL = PriceMovement()


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskyJob:
    """One job as far as its earnings are uncertain.

    `hours` holds for each stage the function from a chance (0 to 1) to hours. `moving_cost`
    follows `cost_movement`; `fixed_cost` doesn't. `takings_movement` moves what comes in, as a
    foreign currency does. `fee_percent` is of the net price. `together` (0 to 1) says how far
    stages run long together. `redo_spread_percent` is the standard deviation of the hours of one
    making again, of their mean. Rates are money per hour.
    """

    hours: tuple[Quantile, ...]
    overhead_per_hour: Decimal
    wanted_per_hour: Decimal
    moving_cost: Decimal = NOTHING
    fixed_cost: Decimal = NOTHING
    failures: tuple[FailureRisk, ...] = ()
    cost_movement: PriceMovement = STILL
    takings_movement: PriceMovement = STILL
    fee_percent: Decimal = NOTHING
    together: float = 0.0
    redo_spread_percent: Decimal = NOTHING

    def __post_init__(self) -> None:
        if not self.hours:
            raise Refusal("A job needs at least one stage with hours.", field="hours")
        for cost in (self.moving_cost, self.fixed_cost):
            not_below_zero(cost, "The cost", "cost")
        percent_below(self.fee_percent, 100, "The payment fee", "fee_percent")
        percent_up_to_100(self.redo_spread_percent, "The spread of hours", "redo_spread")
        percent_up_to_100(Decimal(str(self.together)) * 100, "Running long together", "together")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Simulated runs of a job, one element each: hours, costs and the part of the price kept."""

    hours: Floats
    costs: Floats
    kept: Floats
    overhead_per_hour: float
    wanted_per_hour: float

    def needed(self, per_hour: float) -> Floats:
        """Return for each run the net price that earns `per_hour` after overhead."""
        hourly = per_hour + self.overhead_per_hour
        needed: Floats = (self.hours * hourly + self.costs) / self.kept
        return needed


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Money per hour at the 10th, 50th and 90th percentile."""

    low: Decimal
    middle: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRisk:
    """What a net price risks. Chances are whole percentages: seeds move them by less.

    `hourly` is the effective hourly before overhead, `earned` after it.
    """

    price: Decimal
    below_wanted: Decimal
    below_nothing: Decimal
    hourly: Spread
    earned: Spread

    @property
    def reaches_wanted(self) -> Decimal:
        """The chance, in percent, that it earns the wanted pay or more."""
        return 100 - self.below_wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class ChancePoint:
    """The two chances, in percent, at one net price."""

    price: Decimal
    below_wanted: Decimal
    below_nothing: Decimal


def hour_range(low: Decimal, likely: Decimal, high: Decimal) -> Quantile:
    """Return the beta distribution between low and high whose mean is (low + 4 likely + high) / 6.

    Refuses hours out of order.
    """
    if not 0 <= low <= likely <= high:
        raise Refusal(
            f"Low {low}, likely {likely} and high {high} hours must rise in that order, from 0."
        )
    least, width = float(low), float(high - low)
    if not width:
        return lambda at: np.full_like(at, least)
    rise = 1 + 4 * float(likely - low) / width
    fall = 1 + 4 * float(high - likely) / width
    # Inverting the distribution for every run would take twenty times as long as this table.
    hours = least + width * betaincinv(rise, fall, CHANCES)
    return lambda at: np.asarray(np.interp(at, CHANCES, hours))


def met_by_chance(hours: Quantile, chance: float) -> Quantile:
    """Return the hours of a stage that is met by this chance only, 0 where it isn't."""
    if chance >= 1:
        return hours
    skipped = 1 - chance

    def either(at: Floats) -> Floats:
        return np.where(at < skipped, 0.0, hours(np.clip((at - skipped) / chance, 0, 1)))

    return either


def sampled_hours(sample: Sequence[float] | Floats) -> Quantile:
    """Return the distribution of sampled hours, such as an estimate from past builds."""
    values = np.asarray(sample, dtype=np.float64)
    if not values.size or not np.isfinite(values).all() or values.min() < 0:
        raise Refusal("Sampled hours must be numbers of 0 or more, at least one of them.")
    return lambda at: np.asarray(np.quantile(values, at), dtype=np.float64)


def simulate(job: RiskyJob, *, seed: int, runs: int = RUNS) -> Runs:
    """Run the job `runs` times; the same job and seed give the same runs.

    What is uncertain is spread evenly over the runs, each in an order of its own, so that
    another seed hardly moves a chance.
    """
    if not 100 <= runs <= 1_000_000:
        raise Refusal(f"Give 100 to 1,000,000 runs, not {runs}.", field="runs")
    random = np.random.default_rng(seed)
    rows = len(job.hours) + len(job.failures) + 3
    common, cost, income, *rest = shuffled_normals(rows, runs, seed)
    hours = _stage_hours(job, common, rest[: len(job.hours)])
    if hours.min() <= 0:
        raise Refusal("A job needs hours above 0 in every run.", field="hours")
    moved = _factor(job.cost_movement, cost)
    costs = float(job.moving_cost) * moved + float(job.fixed_cost)
    for failure, own in zip(job.failures, rest[len(job.hours) :], strict=True):
        times = _times(float(failure.chance), own)
        again = _again(times, float(job.redo_spread_percent) / 100, random)
        hours = hours + again * float(failure.hours)
        costs = costs + times * float(failure.cost) * moved
    takings = _factor(job.takings_movement, income)
    return Runs(
        hours=hours,
        costs=costs,
        kept=takings * (1 - float(job.fee_percent) / 100),
        overhead_per_hour=float(job.overhead_per_hour),
        wanted_per_hour=float(job.wanted_per_hour),
    )


def risk_of(runs: Runs, price: Decimal) -> PriceRisk:
    """Read from the runs what a net price (shipping and tax aside) risks."""
    [point] = chance_curve(runs, [price])
    hourly = (float(price) * runs.kept - runs.costs) / runs.hours
    return PriceRisk(
        price=price,
        below_wanted=point.below_wanted,
        below_nothing=point.below_nothing,
        hourly=_spread(hourly),
        earned=_spread(hourly - runs.overhead_per_hour),
    )


def chance_curve(runs: Runs, prices: Sequence[Decimal]) -> tuple[ChancePoint, ...]:
    """Return for each net price the chances of earning less than wanted, and than nothing."""
    wanted, nothing = runs.needed(runs.wanted_per_hour), runs.needed(0)
    return tuple(
        ChancePoint(
            price=price,
            below_wanted=_percent(wanted > float(price)),
            below_nothing=_percent(nothing > float(price)),
        )
        for price in prices
    )


def price_for_chance(
    runs: Runs, chance_percent: Decimal, step: Decimal = NOTHING, minor_unit: Decimal = CENT
) -> Decimal:
    """Return the net price that earns the wanted pay in `chance_percent` of the runs, up to `step`.

    Refuses a chance of 100 %, since no price promises that.
    """
    percent_below(chance_percent, 100, "The chance", "chance_percent")
    needed = np.sort(runs.needed(runs.wanted_per_hour))
    place = max(ceil(float(chance_percent) / 100 * needed.size), 1) - 1
    exact = Decimal(float(needed[place])).quantize(minor_unit, rounding=ROUND_CEILING)
    return round_up_to_step(exact, step)


def _stage_hours(job: RiskyJob, common: Floats, apart: Sequence[Floats]) -> Floats:
    hours = np.zeros_like(common)
    for quantile, own in zip(job.hours, apart, strict=True):
        mixed = sqrt(job.together) * common + sqrt(1 - job.together) * own
        hours += quantile(np.asarray(ndtr(mixed)))
    return hours


def _times(chance: float, normal: Floats) -> Floats:
    """Return how often something fails before it succeeds, each attempt with this chance."""
    if not chance:
        return np.zeros_like(normal)
    return np.asarray(np.floor(log_ndtr(-normal) / log(chance)))


def _again(times: Floats, spread: float, random: np.random.Generator) -> Floats:
    """Return hours of making again so many times, in those of one: each varies, by a gamma."""
    if not spread:
        return times
    again = times.copy()
    met = times > 0
    again[met] = random.gamma(times[met] / spread**2) * spread**2
    return again


def _factor(movement: PriceMovement, normal: Floats) -> Floats:
    mean = 1 + float(movement.expected_percent) / 100
    variance = log(1 + (float(movement.spread_percent) / 100 / mean) ** 2)
    return np.asarray(mean * np.exp(sqrt(variance) * normal - variance / 2))


def _percent(happened: NDArray[np.bool_]) -> Decimal:
    return Decimal(float(happened.mean() * 100)).quantize(Decimal(1))


def _spread(values: Floats) -> Spread:
    low, middle, high = (
        round_money(Decimal(float(value))) for value in np.quantile(values, [0.1, 0.5, 0.9])
    )
    return Spread(low=low, middle=middle, high=high)
