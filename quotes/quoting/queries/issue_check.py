"""What is missing before a draft is issued: told beside the paper, and no reason to refuse."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.models import Workshop
from quotes.models import CloseOut, Quote
from quotes.papers.queries import spec_lines
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import live_offer
from quotes.quoting.queries.holds import held_by, lost_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Something to see to, in a sentence, and the name of the page where that is done.

    `of` is the key of the further instrument that it is about, or 0.
    """

    words: str
    where: str = ""
    of: int = 0


def missing_for_issue(quote: Quote, on: date) -> list[Missing]:
    """Return what is missing on the day. Raises Refusal where the quote has no price."""
    offer = live_offer(quote, on=on)
    found = [*_of_one(quote, offer), *_addresses(quote)]
    further = quote.instruments[1:]
    for one in further:
        found += [_named(missing, one) for missing in _of_one(one, live_offer(one, on=on))]
    held = held_by([quote, *further])
    for one in (quote, *further):
        if lost := lost_of(held.get(one.pk, ())):
            gone = Missing(words=f"No longer available: {lost}.", where="quote_hold")
            found.append(gone if one.pk == quote.pk else _named(gone, one))
    return found


def _of_one(one: Quote, offer: Offer) -> Iterable[Missing]:
    yield from _specification(one)
    yield from _price(one, offer)
    if one.part_of_id and offer.sheet.net <= 0:
        yield Missing(words="It has no price.", where="quote")
    # With hours the queue gives the day as it is issued.
    if one.ready_on is None and not offer.sheet.hours:
        yield Missing(words="No day on which it is ready.", where="quote_terms")


def _named(missing: Missing, one: Quote) -> Missing:
    return Missing(words=f"{one.title}: {missing.words}", where=missing.where, of=one.pk)


def _specification(quote: Quote) -> Iterable[Missing]:
    lines, where = spec_lines(quote), "quote_specification"
    if not quote.specification and not any(line.says.words for line in lines):
        yield Missing(words="The specification is empty.", where=where)
    for line in lines:
        if line.is_missing:
            yield Missing(words=f"Asked for and empty: {line.row.name}.", where=where)


def _addresses(quote: Quote) -> Iterable[Missing]:
    client = quote.commission.client
    if not client.address.strip():
        yield Missing(words=f"{client} has no address.", where="client_edit")
    if not Workshop.objects.exclude(address="").exists():
        yield Missing(words="Your workshop has no address.", where="workshop")


def _price(quote: Quote, offer: Offer) -> Iterable[Missing]:
    """Compare with the price under which the maker meant to decline the next one."""
    last = floor_of(quote)
    if last and last.decline_under is not None and offer.sheet.price < last.decline_under:
        yield Missing(
            words=f"The price is {offer.sheet.price:,.2f}, under the {last.decline_under:,.2f} "
            f"{offer.home_currency} below which you meant to decline, from the close-out of "
            f"{last.build.serial}.",
            where="quote",
        )


def floor_of(quote: Quote) -> CloseOut | None:
    """Return the last close-out of the quote's template."""
    rows = CloseOut.objects.filter(build__template=quote.template_id or 0)
    return rows.select_related("build").first()
