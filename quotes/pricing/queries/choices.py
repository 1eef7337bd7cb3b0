"""A quote's options, each priced as a difference in money and days."""

from collections.abc import Iterable
from copy import copy
from datetime import date

from inventory.base.refusals import Refusal
from quotes.base.calc.snapshot import from_data
from quotes.models import Quote
from quotes.pricing.calc.choices import PricedOption, in_choice, price_choice
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.queries.pricing import stages_on
from quotes.pricing.queries.ready import OwnDays, own_days, plan_alone
from shop.patterns.calc import switched


def option_names(quote: Quote) -> list[str]:
    """Names of the quote's options in the order of its rows, those of one choice together."""
    named = [row.option for row in quote.stages.all()]
    named += [row.option for row in quote.materials.all()]
    names = [name for name in dict.fromkeys([*named, *sorted(quote.one_of)]) if name]
    first: dict[str, int] = {}
    for place, name in enumerate(names):
        first.setdefault(quote.one_of.get(name, name), place)
    return sorted(names, key=lambda name: first[quote.one_of.get(name, name)])


def choices_of(
    quote: Quote, offer: Offer, *, on: date, own: OwnDays | None = None
) -> tuple[PricedOption, ...]:
    """Return what each option changes: as frozen when sent, or for a draft at today's prices."""
    if quote.frozen:
        return frozen_choices(quote)
    return live_choices(quote, offer, on=on, own=own)


def frozen_choices(quote: Quote) -> tuple[PricedOption, ...]:
    """Return the options as they were priced when the quote was sent."""
    return tuple(
        from_data(PricedOption, choice) for choice in (quote.frozen or {}).get("choices", ())
    )


def live_choices(
    quote: Quote, offer: Offer, *, on: date, own: OwnDays | None = None
) -> tuple[PricedOption, ...]:
    """Price each option of a draft beside `offer`; those that can't be priced are left out.

    No query for each option; without `own` two for all.
    """
    names = option_names(quote)
    if not names:
        return ()
    return tuple(_priced(names, quote, offer, own or own_days(on)))


def _priced(names: list[str], quote: Quote, offer: Offer, own: OwnDays) -> Iterable[PricedOption]:
    ready = _alone(quote, own)
    for name in names:
        other = copy(quote)
        other.options = _switched(name, names, quote)
        try:
            priced = price_choice(
                name,
                offer,
                live_offer(other, on=own.start, home=offer.home_currency),
                is_on=name in quote.options,
                is_offered=name in quote.offered,
                days=_days(_alone(other, own), ready),
            )
        except Refusal:
            continue
        choice = quote.one_of.get(name)
        yield in_choice(priced, choice) if choice else priced


def _switched(name: str, names: Iterable[str], quote: Quote) -> list[str]:
    """Return the options with one switched; the one on of a choice gives way to the first other."""
    choice = quote.one_of.get(name)
    if choice and name in quote.options:
        others = (each for each in names if quote.one_of.get(each) == choice and each != name)
        return switched(quote.options, next(others, name), quote.one_of)
    return switched(quote.options, name, quote.one_of)


def _alone(quote: Quote, own: OwnDays) -> date | None:
    plan = plan_alone(stages_on(quote), own)
    return plan.ready if plan else None


def _days(switched: date | None, ready: date | None) -> int:
    return (switched - ready).days if switched and ready else 0
