"""When a quoted instrument could be ready, plainly: one bench, one stage after another."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.base.refusals import Refusal
from quotes.models import QuoteStage
from shop.calendar.calc import OpenDays, Plan, plan_forward
from shop.calendar.queries import open_days, stage_work
from shop.models import BuildStage, BuildState

OPEN = (BuildState.PLANNED, BuildState.UNDER_WAY)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlan:
    """What a plan that begins on `start` has to reckon with: open days, and hours that come first.

    Gathered once, it serves any number of proposals.
    """

    start: date
    days: OpenDays
    hours_ahead: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyProposal:
    """A day, the plan behind it, and the hours of open builds that come before it."""

    plan: Plan
    hours_ahead: Decimal

    @property
    def ready(self) -> date:
        return self.plan.ready

    @property
    def because(self) -> str:
        """The reasons in one line."""
        hours = f"{self.hours_ahead.normalize():f} h of open builds"
        ahead = f"{hours} first, then " if self.hours_ahead else ""
        days = sum(step.waiting_days for step in self.plan.steps)
        waiting = f", with {days} day{'' if days == 1 else 's'} of waiting" if days else ""
        return f"{ahead}the stages one after another{waiting}"


def bench_on(start: date) -> BenchPlan:
    """Gather what comes before new work on the day.

    Three queries: open builds' stages that are not finished, the working week, the days off.
    """
    return BenchPlan(start=start, days=open_days(start), hours_ahead=hours_ahead())


def propose_ready(stages: Iterable[QuoteStage], bench: BenchPlan) -> ReadyProposal | None:
    """Lay the stages after what is open on the bench; None while there are no stages."""
    work = [stage_work(stage.name, stage.hours * 60, stage.waiting_days) for stage in stages]
    if not work:
        return None
    ahead = bench.hours_ahead
    first = [stage_work("Open builds", ahead * 60, Decimal(0))] if ahead else []
    try:
        plan = plan_forward([*first, *work], bench.days, start=bench.start)
    except ValueError as error:
        raise Refusal(f"No date can be forecast: {error}") from error
    return ReadyProposal(plan=plan, hours_ahead=ahead)


def hours_ahead() -> Decimal:
    """Planned hours of all stages of open builds that are not finished."""
    rows = BuildStage.objects.filter(build__state__in=OPEN, finished_at=None)
    return rows.aggregate(hours=Sum("hours_planned"))["hours"] or Decimal(0)
