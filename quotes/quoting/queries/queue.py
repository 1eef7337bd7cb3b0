"""When a quoted instrument could be ready, by the queue, and what a yes does to the others."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import round_money
from inventory.base.queries import home_minor_unit
from quotes.models import Quote
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS, stages_on
from quotes.pricing.queries.ready import books_with
from shop.queue.queries.books import QueueBooks
from shop.queue.queries.forecast import BuildForecast, QueueAnswer, forecasts_of, queue_on, work_out
from shop.queue.queries.trying import NEW, Comparison, Trial, compare

MORE_HOURS = (2, 4, 6, 8, 10, 12, 16, 20)
FEW_DRAWS = 100
MOST_WAITING = 5
A_WEEK = 7
AS_GOOD = 0.03
"""A chance that is lower by no more than this counts as kept: so few cases tell no less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RushPrice:
    """What it costs to keep the others' dates: hours beyond the usual week until the rush is done.

    hours: in all, at most those of the order itself. amount: at the quote's shop rate, net.
    """

    hours_a_week: int
    until: date
    hours: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class IfYes:
    """The quoted instrument in the queue: at its end, and as a rush order on the first place.

    rush_price: None where not even the most hours keep the others' dates, or nobody waits.
    """

    last: Comparison
    first: Comparison
    place: int
    rush_price: RushPrice | None

    @property
    def forecast(self) -> BuildForecast:
        """What the queue says of it at the end of the queue: of an order, of the one ready last."""
        return _of_new(self.last)

    @property
    def rushed(self) -> BuildForecast:
        """What the queue says of it on the first place."""
        return _of_new(self.first)


def if_yes(quote: Quote, on: date) -> IfYes | None:
    """Return what a yes today would mean; None for a quote without hours.

    Raises Refusal for a queue that can't be laid out.
    """
    if not any(stage.hours for stage in stages_on(quote)):
        return None
    order = quote.part_of or quote
    own = sum((stage.hours for one in order.instruments for stage in stages_on(one)), Decimal(0))
    books = queue_on(on).books
    rushed = books_with(quote, books, 1)
    return IfYes(
        last=compare(books, books_with(quote, books)),
        first=compare(books, rushed),
        place=len(books.jobs) + 1,
        rush_price=_rush_price(quote, books, rushed, own),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingQuote:
    """A quote that waits for a yes, with what the queue says of it if it is the next accepted."""

    quote: Quote
    forecast: BuildForecast

    @property
    def offered(self) -> date | None:
        """The day that the client was sent: of an order, that of the one ready last."""
        on = self.forecast.on
        days = (offer_of(one, on=on).ready_on for one in self.quote.instruments)
        return max(filter(None, days), default=None)

    @property
    def is_later(self) -> bool:
        """Say whether the queue has moved past the day that was sent, by more than a week."""
        return bool(self.offered and (self.forecast.day_80 - self.offered).days > A_WEEK)


def waiting_quotes(answer: QueueAnswer) -> list[WaitingQuote]:
    """Return sent quotes that are still valid, the first to expire first, a few of them.

    Each stands behind the open builds by itself: a yes to one says nothing of the others.
    """
    on = answer.books.on
    quotes = (
        Quote.offers.filter(state=Quote.State.ISSUED, valid_until__gte=on)
        .select_related("template", "commission__client")
        .prefetch_related(*QUOTE_ROWS)
        .order_by("valid_until", "pk")[:MOST_WAITING]
    )
    return [
        WaitingQuote(
            quote=quote, forecast=_last_of_order(forecasts_of(books_with(quote, answer.books)))
        )
        for quote in quotes
        if any(stage.hours for stage in stages_on(quote))
    ]


def _rush_price(
    quote: Quote, books: QueueBooks, rushed: QueueBooks, own: Decimal
) -> RushPrice | None:
    """Return the fewest hours a week that keep everybody's date as likely as it was."""
    if not books.jobs:
        return None
    until = _last_of_order(forecasts_of(rushed)).day_80
    weeks = Decimal((until - books.on).days) / 7
    before = work_out(books, FEW_DRAWS)
    for more in MORE_HOURS:
        trial = Trial(hours_a_week=more, hours_until=until)
        if _keeps(work_out(trial.of(rushed), FEW_DRAWS), before, books):
            hours = min(round_money(more * weeks, Decimal("0.1")), own)
            amount = round_money(hours * quote.shop_rate, home_minor_unit())
            return RushPrice(hours_a_week=more, until=until, hours=hours, amount=amount)
    return None


def _keeps(
    after: Mapping[str, BuildForecast], before: Mapping[str, BuildForecast], books: QueueBooks
) -> bool:
    """Say whether every build keeps its date: the promised one, else its safe one."""
    for job, build in zip(books.jobs, books.builds, strict=True):
        now = before[job.key]
        day = build.promised_on or now.day_80
        if after[job.key].chance_of(day) < now.chance_of(day) - AS_GOOD:
            return False
    return True


def _of_new(comparison: Comparison) -> BuildForecast:
    return _last_of_order({row.key: row.after for row in comparison.rows if row.after})


def _last_of_order(forecasts: Mapping[str, BuildForecast]) -> BuildForecast:
    """Return that of the quoted instruments which is ready last; the keys are `books_with`'s."""
    new = (one for key, one in forecasts.items() if key.split(":")[0] == NEW)
    return max(new, key=lambda one: one.day_80)
