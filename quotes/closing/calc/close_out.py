"""A delivered build looked back on: what it earned by the hour and what to charge next time."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from statistics import median

from inventory.base.calc.money import round_money, round_up_to_step
from quotes.base.calc.checks import above_zero
from quotes.base.calc.figures import NOTHING, Figure, added_up, plain
from quotes.pricing.calc.basis import PriceBasis, StageHours

LEAST_BUILDS = 3
"""Fewer past builds than this suggest nothing (common practice, no source)."""

LAST_SHOWN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOutcome:
    """One stage's hours as quoted and as worked, with those of earlier builds, latest first.

    `redone` are those of `actual` that went into making something again; `earlier` has none.
    """

    name: str
    quoted: Decimal
    actual: Decimal
    earlier: tuple[Decimal, ...] = ()
    redone: Decimal = NOTHING
    is_done: bool = True

    @property
    def at_the_end(self) -> Decimal:
        """Hours it comes to: as worked once done, until then at least those quoted."""
        return self.actual if self.is_done else max(self.actual, self.quoted)

    @property
    def first(self) -> Decimal:
        """Hours of the first making."""
        return self.actual - self.redone

    @property
    def last(self) -> tuple[Decimal, ...]:
        """Hours of the latest earlier builds, as many as a page shows."""
        return self.earlier[:LAST_SHOWN]

    @property
    def difference(self) -> Decimal:
        """Hours worked beyond those quoted; below 0 for fewer."""
        return self.actual - self.quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class NextHours:
    """Hours to quote next for a stage, and from how many builds; None where they are too few."""

    name: str
    hours: Decimal | None
    builds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Earnings:
    """What a commission brought in and took.

    `received` is net of tax; `fees`, `shipping`, `materials` (at what they cost) and
    `outside_work` came off it. `hours` are all hours on the build, `unbilled_hours` further ones
    such as messages and warranty. The sums per hour need hours above 0 (Refusal otherwise).
    """

    received: Decimal
    fees: Decimal = NOTHING
    shipping: Decimal = NOTHING
    materials: Decimal = NOTHING
    outside_work: Decimal = NOTHING
    hours: Decimal
    unbilled_hours: Decimal = NOTHING
    overhead_per_hour: Decimal = NOTHING

    @property
    def left(self) -> Decimal:
        """What is left for hours and overhead."""
        return self.received - self.fees - self.shipping - self.materials - self.outside_work

    @property
    def effective_hourly(self) -> Decimal:
        """What each hour on the build really brought, before overhead."""
        return _per_hour(self.left, self.hours)

    @property
    def effective_hourly_with_unbilled(self) -> Decimal:
        """The same over all hours, unbilled ones among them."""
        return _per_hour(self.left, self.hours + self.unbilled_hours)

    @property
    def earned_hourly(self) -> Decimal:
        """What each hour on the build left the maker once overhead is paid."""
        return self.effective_hourly - self.overhead_per_hour

    @property
    def earned_hourly_with_unbilled(self) -> Decimal:
        """The same over all hours, unbilled ones among them."""
        return self.effective_hourly_with_unbilled - self.overhead_per_hour


@dataclass(frozen=True, slots=True, kw_only=True)
class Profits:
    """One commission's profit seen three ways, before the maker's own pay.

    `wood_gain` is what the price of the materials that were used rose by while they lay on the
    shelf: it belongs to the wood and not to the work. `cash` is money in less money paid out for
    this commission.
    """

    at_replacement: Decimal
    at_cost: Decimal
    wood_gain: Decimal
    cash: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Mishap:
    """Something that went wrong and drew on the contingency: hours redone, material lost."""

    name: str
    hours: Decimal = NOTHING
    cost: Decimal = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class ContingencyUse:
    """The contingency of a quote, what it went on and what is left; below 0 it was too little."""

    kept: Decimal
    used: Figure

    @property
    def left(self) -> Decimal:
        """What nothing was needed for."""
        return self.kept - self.used.amount


def worst_first(stages: Iterable[StageOutcome]) -> tuple[StageOutcome, ...]:
    """Sort stages by how far they ran over, the worst first."""
    return tuple(sorted(stages, key=lambda stage: -stage.difference))


def next_hours(stage: StageOutcome) -> NextHours:
    """Suggest the hours to quote next: the median of first makings; nothing from under three.

    Leaving out a build that went wrong is the maker's choice, so the caller does it.
    """
    builds = [stage.first, *stage.earlier] if stage.first else list(stage.earlier)
    enough = len(builds) >= LEAST_BUILDS
    return NextHours(name=stage.name, hours=median(builds) if enough else None, builds=len(builds))


def with_hours(basis: PriceBasis, hours: Mapping[str, tuple[Decimal, str]]) -> PriceBasis:
    """Return the basis with hours of stages, by name and with their source, in place of its own.

    Priced by `build_price`, it says what to charge next time. Stages not named keep theirs; those
    that were not quoted are added.
    """
    own = {stage.name for stage in basis.stages}
    stages = [
        replace(stage, hours=hours[stage.name][0], how=hours[stage.name][1])
        if stage.name in hours
        else stage
        for stage in basis.stages
    ]
    added = (
        StageHours(name=name, hours=worked, how=how)
        for name, (worked, how) in hours.items()
        if name not in own
    )
    return replace(basis, stages=(*stages, *added))


def least_price(
    hours: Decimal, bought: Decimal, least_hourly: Decimal, step: Decimal = NOTHING
) -> Decimal:
    """Return the net price under which declining is better, up to the next `step`.

    `bought` is materials at replacement and outside work; `least_hourly` is what other work would
    bring for the same hour, overhead in it.
    """
    return round_up_to_step(bought + hours * least_hourly, step)


def use_contingency(kept: Decimal, mishaps: Iterable[Mishap], rate: Decimal) -> ContingencyUse:
    """Show what the contingency went on, hours at the shop rate."""
    used = added_up("Contingency used", (_mishap(each, rate) for each in mishaps))
    return ContingencyUse(kept=kept, used=used)


def three_profits(
    earnings: Earnings, *, wood_gain: Decimal, cash_in: Decimal, cash_out: Decimal
) -> Profits:
    """Compare the profit at replacement cost, at what the materials cost, and in cash.

    `earnings.materials` is what they cost; overhead is charged by the hours on the build.
    """
    at_cost = earnings.left - earnings.hours * earnings.overhead_per_hour
    return Profits(
        at_replacement=at_cost - wood_gain,
        at_cost=at_cost,
        wood_gain=wood_gain,
        cash=cash_in - cash_out,
    )


def _per_hour(amount: Decimal, hours: Decimal) -> Decimal:
    above_zero(hours, "The number of hours", "hours")
    return amount / hours


def _mishap(mishap: Mishap, rate: Decimal) -> Figure:
    amount = round_money(mishap.hours * rate + mishap.cost)
    hours = f"{plain(round_money(mishap.hours))} h × {plain(rate)}" if mishap.hours else ""
    cost = f"{plain(mishap.cost)} of material" if mishap.cost else ""
    return Figure(name=mishap.name, amount=amount, how=" and ".join(filter(None, [hours, cost])))
