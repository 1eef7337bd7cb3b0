"""When a quoted instrument could be ready: by the queue, behind the builds that are open."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import prefetch_related_objects

from inventory.base.refusals import Refusal
from quotes.models import Quote, QuoteStage
from quotes.pricing.calc.offer import PlannedStep
from quotes.pricing.queries.pricing import QUOTE_ROWS, stages_on
from shop.calendar.calc import OpenDays, Plan, plan_forward
from shop.calendar.queries import open_days, stage_work
from shop.models import BuildStage
from shop.queue.queries.books import QueueBooks
from shop.queue.queries.forecast import BuildForecast, forecasts_of, queue_on
from shop.queue.queries.trying import NEW, with_new_build


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnDays:
    """Open days from `start` on: what a plan of one instrument alone has to reckon with."""

    start: date
    days: OpenDays


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyDay:
    """The day that the queue keeps in 80 of 100 cases, why, and the likely plan behind it."""

    day: date
    because: str
    steps: tuple[PlannedStep, ...]


def own_days(start: date) -> OwnDays:
    """Gather the working week and the days off. Two queries."""
    return OwnDays(start=start, days=open_days(start))


def plan_alone(stages: Iterable[QuoteStage], own: OwnDays) -> Plan | None:
    """Lay the stages one after another as if nothing else were open; None while there are none.

    Good for what an option adds or saves; the day itself is `ready_by_queue`'s.
    """
    work = [stage_work(stage.name, stage.hours * 60, stage.waiting_days) for stage in stages]
    if not work:
        return None
    try:
        return plan_forward(work, own.days, start=own.start)
    except ValueError as error:
        raise Refusal(f"No date can be forecast: {error}") from error


def ready_by_queue(quote: Quote, on: date) -> dict[int, ReadyDay]:
    """Return by when each instrument of its order is ready, by the key of its quote.

    As if accepted on the day, behind all open builds; one without hours has no day. The queue is
    laid out once for all. Raises Refusal for a queue that can't be laid out.
    """
    order = quote.part_of or quote
    timed = [one for one in order.instruments if any(stage.hours for stage in stages_on(one))]
    if not timed:
        return {}
    books = queue_on(on).books
    found = forecasts_of(books_with(order, books))
    ahead = len(books.jobs)
    behind = f", behind {ahead} open build{'' if ahead == 1 else 's'}" if ahead else ""
    because = f"kept in 80 of 100 cases{behind}"
    return {one.pk: _ready_day(one, found[_key(one, order)], because) for one in timed}


def _ready_day(quote: Quote, found: BuildForecast, because: str) -> ReadyDay:
    return ReadyDay(
        day=found.day_80,
        because=because,
        steps=tuple(
            PlannedStep(
                name=stage.name,
                minutes=int(own.hours * 60),
                starts=stage.starts,
                finishes=stage.finishes,
                free=stage.free,
            )
            for stage, own in zip(found.stages, stages_on(quote), strict=True)
        ),
    )


def books_with(quote: Quote, books: QueueBooks, place: int | None = None) -> QueueBooks:
    """Return the queue with the quoted instrument in it, at its end or on a place.

    All instruments of its order are in it, one after another.
    """
    order = quote.part_of or quote
    prefetch_related_objects([order], *QUOTE_ROWS)
    for number, one in enumerate(order.instruments):
        at = place + number if place else None
        books = _with_one(quote if one.pk == quote.pk else one, books, at)
        books = _renamed(books, NEW, f"{NEW}:{one.pk}")
    return _renamed(books, f"{NEW}:{quote.pk}", _key(quote, quote))


def _key(one: Quote, asked: Quote) -> str:
    """What `one` is called in the books that `books_with` returns for the quote `asked`."""
    return NEW if one.pk == asked.pk else f"{NEW}:{one.pk}"


def _renamed(books: QueueBooks, key: str, to: str) -> QueueBooks:
    return replace(
        books,
        jobs=tuple(replace(job, key=to) if job.key == key else job for job in books.jobs),
        guesses=tuple(replace(one, key=to) if one.key == key else one for one in books.guesses),
    )


def _with_one(quote: Quote, books: QueueBooks, place: int | None) -> QueueBooks:
    stages = [
        BuildStage(
            template_stage_id=one.template_stage_id,
            position=one.position,
            name=one.name,
            hours_low=one.hours_low,
            hours_planned=one.hours or Decimal(0),
            hours_high=one.hours_high,
            waiting_days=one.waiting_days,
        )
        for one in stages_on(quote)
    ]
    return with_new_build(
        books,
        quote.template,
        title=quote.title,
        place=place,
        stages=stages,
        options=quote.options,
    )
