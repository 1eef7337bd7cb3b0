"""When a quoted instrument could be ready, by the queue, and what a yes does to the others."""

from dataclasses import dataclass
from datetime import date

from quotes.models import Quote
from quotes.pricing.queries.pricing import stages_on
from shop.models import BuildStage
from shop.queue.queries.books import QueueBooks
from shop.queue.queries.forecast import BuildForecast, queue_on
from shop.queue.queries.trying import NEW, Comparison, compare, with_new_build


@dataclass(frozen=True, slots=True, kw_only=True)
class IfYes:
    """The quoted instrument in the queue: at its end, and as a rush order on the first place."""

    last: Comparison
    first: Comparison
    place: int

    @property
    def forecast(self) -> BuildForecast | None:
        """What the queue says of it at the end of the queue."""
        return _of_new(self.last)

    @property
    def rushed(self) -> BuildForecast | None:
        """What the queue says of it on the first place."""
        return _of_new(self.first)


def if_yes(quote: Quote, on: date) -> IfYes | None:
    """Return what a yes today would mean; None for a quote without stages.

    Raises Refusal for a queue that can't be laid out.
    """
    stages = stages_on(quote)
    if not any(stage.hours for stage in stages):
        return None
    books = queue_on(on).books
    return IfYes(
        last=compare(books, _with(quote, books, None)),
        first=compare(books, _with(quote, books, 1)),
        place=len(books.jobs) + 1,
    )


def _with(quote: Quote, books: QueueBooks, place: int | None) -> QueueBooks:
    stages = [
        BuildStage(
            template_stage_id=one.template_stage_id,
            position=one.position,
            name=one.name,
            hours_low=one.hours_low,
            hours_planned=one.hours,
            hours_high=one.hours_high,
            waiting_days=one.waiting_days,
        )
        for one in stages_on(quote)
    ]
    return with_new_build(
        books, quote.template, title=quote.title, place=place, stages=stages, options=quote.options
    )


def _of_new(comparison: Comparison) -> BuildForecast | None:
    return next((row.after for row in comparison.rows if row.key == NEW), None)
