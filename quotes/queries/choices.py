"""A quote's options, each priced as a difference in money and days."""

from collections.abc import Iterable
from copy import copy
from datetime import date

from inventory.refusals import Refusal
from quotes.calc.choices import Choice, price_choice
from quotes.calc.offer import Offer
from quotes.calc.snapshot import from_data
from quotes.models import Quote
from quotes.queries.offer import live_offer
from quotes.queries.pricing import stages_on
from quotes.queries.ready import Bench, bench_on, propose_ready


def option_names(quote: Quote) -> list[str]:
    """Names of the options that rows of the quote belong to, in the order of the rows."""
    named = [row.option for row in quote.stages.all()]
    named += [row.option for row in quote.materials.all()]
    return [name for name in dict.fromkeys(named) if name]


def choices_of(
    quote: Quote, offer: Offer, *, on: date, bench: Bench | None = None
) -> tuple[Choice, ...]:
    """Return what each option changes: as frozen when sent, or for a draft at today's prices."""
    if quote.frozen:
        return frozen_choices(quote)
    return live_choices(quote, offer, on=on, bench=bench)


def frozen_choices(quote: Quote) -> tuple[Choice, ...]:
    """Return the options as they were priced when the quote was sent."""
    return tuple(from_data(Choice, choice) for choice in (quote.frozen or {}).get("choices", ()))


def live_choices(
    quote: Quote, offer: Offer, *, on: date, bench: Bench | None = None
) -> tuple[Choice, ...]:
    """Price each option of a draft beside `offer`; those that can't be priced are left out.

    No query for each option; without `bench` three for all.
    """
    names = option_names(quote)
    if not names:
        return ()
    bench = bench or bench_on(on)
    return tuple(_priced(names, quote, offer, bench))


def _priced(names: Iterable[str], quote: Quote, offer: Offer, bench: Bench) -> Iterable[Choice]:
    ready = _ready_day(quote, bench)
    for name in names:
        switched = copy(quote)
        switched.options = _switched(quote.options, name)
        try:
            yield price_choice(
                name,
                offer,
                live_offer(switched, on=bench.start, with_ready=False, home=offer.home_currency),
                is_on=name in quote.options,
                is_offered=name in quote.offered,
                days=_days(_ready_day(switched, bench), ready),
            )
        except Refusal:
            continue


def _switched(options: list[str], name: str) -> list[str]:
    if name in options:
        return [option for option in options if option != name]
    return [*options, name]


def _ready_day(quote: Quote, bench: Bench) -> date | None:
    proposal = propose_ready(stages_on(quote), bench)
    return proposal.ready if proposal else None


def _days(switched: date | None, ready: date | None) -> int:
    return (switched - ready).days if switched and ready else 0
