"""The only place where quotes, changes and receipts are frozen: figures and what is printed."""

from collections.abc import Iterable
from typing import Any

from quotes.base.calc.snapshot import as_data
from quotes.base.keeping import store_paper
from quotes.models import Quote
from quotes.papers.documents.printing import print_paper
from quotes.papers.documents.quote import quote_paper
from quotes.pricing.calc.choices import PricedOption
from quotes.pricing.calc.offer import Offer


def freeze(
    quote: Quote,
    offer: Offer,
    choices: Iterable[PricedOption] = (),
    further: Iterable[tuple[Quote, Offer]] = (),
) -> None:
    """Copy what is offered into the quote and print its paper. The row is left to be saved."""
    choices = tuple(choices)
    paper = quote_paper(quote, offer, choices, further)
    quote.gross = offer.document.due
    quote.frozen = {
        "offer": as_data(offer),
        "paper": as_data(paper),
        "choices": as_data(choices),
    }
    printed = print_paper("quotes/papers/quote.html", paper, made_on=f"{quote.issued_on}")
    store_paper(quote, f"{quote.number}-v{quote.version}", printed)


def freeze_further(one: Quote, offer: Offer) -> None:
    """Copy what is offered into a further instrument, whose paper is that of its order."""
    one.frozen = {"offer": as_data(offer), "paper": as_data(quote_paper(one, offer)), "choices": []}


def rename_keys(data: Any, names: dict[str, str]) -> Any:
    """Return frozen data in which every `key` found in `names` has the new name."""
    if isinstance(data, dict):
        return {
            name: names.get(value, value) if name == "key" else rename_keys(value, names)
            for name, value in data.items()
        }
    return [rename_keys(item, names) for item in data] if isinstance(data, list) else data
