"""The builds of an order looked back on together."""

from datetime import date

from inventory.base.refusals import Refusal
from quotes.closing.calc.order import InstrumentOutcome, OrderOutcome, add_up_order, outcome_of
from quotes.closing.queries.close_out import kept_or_live_sheet
from quotes.models import Quote


def order_outcome(quote: Quote, on: date) -> OrderOutcome:
    """Add up the builds of the order that `quote` belongs to, each as kept or as it stands.

    Raises Refusal where nothing of it is being built yet.
    """
    order = quote.part_of or quote
    rows = [row for one in order.instruments if (row := _outcome(one, on))]
    if not rows:
        raise Refusal(f"{order.title} is not being built yet, so there is nothing to add up.")
    return add_up_order(order.title, rows)


def _outcome(quote: Quote, on: date) -> InstrumentOutcome | None:
    build = quote.build
    if build is None:
        return None
    return outcome_of(quote.title, build.serial, kept_or_live_sheet(build, on))
