"""The queue day by day: a month of it, as a calendar hangs on a wall."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from shop.models import Build
from shop.queue.queries.buying import DueOrder, to_order
from shop.queue.queries.forecast import QueueAnswer

A_WEEK = 7


@dataclass(slots=True, kw_only=True)
class QueueDay:
    """What a day is likely to bring: work, waiting that ends, promised and safe dates, orders."""

    day: date
    is_open: bool = False
    work: list[tuple[Build, str]] = field(default_factory=list)
    free: list[tuple[Build, str]] = field(default_factory=list)
    promised: list[Build] = field(default_factory=list)
    safe: list[Build] = field(default_factory=list)
    orders: list[DueOrder] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        return not any((self.work, self.free, self.promised, self.safe, self.orders))


def month_of(answer: QueueAnswer, first: date) -> Sequence[Sequence[QueueDay]]:
    """Return the weeks of the month that begins on `first`, from Monday to Sunday."""
    after = (first.replace(day=28) + timedelta(days=4)).replace(day=1)
    monday = first - timedelta(days=first.weekday())
    number = -(-(after - monday).days // A_WEEK) * A_WEEK
    days = {
        day: QueueDay(day=day, is_open=_is_open(answer, day))
        for day in (monday + timedelta(days=place) for place in range(number))
    }
    _fill(days, answer)
    rows = list(days.values())
    return [rows[start : start + A_WEEK] for start in range(0, len(rows), A_WEEK)]


def _fill(days: dict[date, QueueDay], answer: QueueAnswer) -> None:
    elsewhere: dict[date, QueueDay] = defaultdict(lambda: QueueDay(day=answer.books.on))

    def on(day: date) -> QueueDay:
        return days.get(day) or elsewhere[day]

    for build, forecast in answer.rows:
        for stage in forecast.stages:
            for day in _worked_on(stage.stretches, answer):
                if (build, stage.name) not in on(day).work:
                    on(day).work.append((build, stage.name))
            if stage.free > stage.finishes + timedelta(days=1):
                on(stage.free).free.append((build, stage.name))
        on(forecast.day_80).safe.append(build)
        if build.promised_on:
            on(build.promised_on).promised.append(build)
    for order in to_order(answer):
        on(max(order.order_by, answer.books.on)).orders.append(order)


def _worked_on(stretches: Sequence[tuple[float, float]], answer: QueueAnswer) -> Sequence[date]:
    """Return the open days on which a stage is worked on."""
    found = []
    for begins, ends in stretches:
        for number in range(int(begins), max(-int(-ends // 1), int(begins) + 1)):
            day = answer.books.on + timedelta(days=number)
            if _is_open(answer, day):
                found.append(day)
    return found


def _is_open(answer: QueueAnswer, day: date) -> bool:
    number = (day - answer.books.on).days
    hands = answer.books.shop.hands
    return number >= 0 and any(len(days) > number and days[number] > 0 for days in hands)
