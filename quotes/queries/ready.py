"""When a quoted instrument could be ready, plainly: one bench, one stage after another."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from django.db.models import Sum

from inventory.refusals import Refusal
from quotes.models import QuoteStage
from shop.calc.workdays import OpenDays, Plan, StageWork, plan_forward
from shop.models import BuildStage, BuildState, DayOff, WorkingWeek

OPEN = (BuildState.PLANNED, BuildState.UNDER_WAY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
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
        ahead = (
            f"{self.hours_ahead.normalize():f} h of open builds first, then "
            if (self.hours_ahead)
            else ""
        )
        waiting = sum(step.waiting_days for step in self.plan.steps)
        return f"{ahead}the stages one after another, with {waiting} days of waiting"


def bench_on(start: date) -> Bench:
    """Gather what comes before new work on the day.

    Three queries: open builds' stages that are not finished, the working week, the days off.
    """
    return Bench(start=start, days=open_days(start), hours_ahead=hours_ahead())


def propose_ready(stages: Iterable[QuoteStage], bench: Bench) -> ReadyProposal | None:
    """Lay the stages after what is open on the bench; None while there are no stages."""
    work = [_work(stage.name, stage.hours, stage.waiting_days) for stage in stages]
    if not work:
        return None
    ahead = bench.hours_ahead
    first = [_work("Open builds", ahead, Decimal(0))] if ahead else []
    try:
        plan = plan_forward([*first, *work], bench.days, start=bench.start)
    except ValueError as error:
        raise Refusal(f"No ready date can be proposed: {error}") from error
    return ReadyProposal(plan=plan, hours_ahead=ahead)


def hours_ahead() -> Decimal:
    """Planned hours of all stages of open builds that are not finished."""
    rows = BuildStage.objects.filter(build__state__in=OPEN, finished_at=None)
    return rows.aggregate(hours=Sum("hours_planned"))["hours"] or Decimal(0)


def open_days(start: date) -> OpenDays:
    """The working week and the days off from `start` on."""
    week = WorkingWeek.objects.first() or WorkingWeek()
    monday, tuesday, wednesday, thursday, friday, saturday, sunday = (
        int(hours * 60) for hours in week.hours
    )
    return OpenDays(
        week=(monday, tuesday, wednesday, thursday, friday, saturday, sunday),
        closed=_closed_days(start),
    )


def _closed_days(start: date) -> Mapping[date, str]:
    return {
        stretch.first + timedelta(days=number): stretch.reason or "day off"
        for stretch in DayOff.objects.filter(last__gte=start)
        for number in range((stretch.last - stretch.first).days + 1)
    }


def _work(name: str, hours: Decimal, waiting: Decimal) -> StageWork:
    return StageWork(
        name=name,
        minutes=int(hours * 60),
        waiting_days=int(waiting.to_integral_value(ROUND_CEILING)),
    )
