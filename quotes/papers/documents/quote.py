"""The data of each paper, gathered from the books."""

from collections.abc import Iterable, Sequence
from copy import copy
from datetime import date, timedelta
from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.countries import country_name
from inventory.base.documents import is_letter_size
from inventory.models import Workshop
from inventory.shelf.queries.photos import first_photos
from quotes.base.calc.figures import plain
from quotes.models import Client, PricingPolicy, Quote, QuoteMaterial
from quotes.papers.documents.papers import (
    Addressee,
    Letterhead,
    OfferedOption,
    PaperInstrument,
    PaperLine,
    PaperPart,
    PaperPicture,
    PaperTotals,
    QuotePaper,
)
from quotes.papers.documents.printing import print_paper
from quotes.papers.queries import specification_of
from quotes.pricing.calc.choices import PricedOption
from quotes.pricing.calc.offer import Offer, read_parts
from quotes.pricing.calc.tax import TaxRate
from quotes.pricing.calc.tax_document import TaxedDocument
from quotes.pricing.queries.choices import live_choices
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.queries.ready import ready_by_queue


def quote_pdf(quote: Quote, on: date) -> bytes:
    """Return the paper as it was sent, or of a draft as it would read on the day.

    One of several instruments is on the paper of its order.
    """
    quote = quote.part_of or quote
    if quote.document:
        with quote.document.open() as kept:
            sent: bytes = kept.read()
            return sent
    return sample_pdf(quote, on)


def sample_pdf(quote: Quote, on: date) -> bytes:
    """Return the paper of a quote as it would be laid out today, whatever was sent of it."""
    return print_paper("quotes/papers/quote.html", draft_paper(quote, on), made_on=f"{on}")


def draft_paper(quote: Quote, on: date) -> QuotePaper:
    """Gather a draft as it would read if it were issued on the day."""
    shown = copy(quote)
    shown.number = shown.number or "draft"
    shown.issued_on, shown.valid_until = on, on + timedelta(days=quote.valid_days)
    ready = ready_by_queue(quote, on)
    offer, *others = (live_offer(one, on=on, ready=ready.get(one.pk)) for one in quote.instruments)
    further = zip(quote.instruments[1:], others, strict=True)
    return quote_paper(shown, offer, live_choices(quote, offer, on=on), further)


def quote_paper(
    quote: Quote,
    offer: Offer,
    choices: Iterable[PricedOption] = (),
    further: Iterable[tuple[Quote, Offer]] = (),
) -> QuotePaper:
    """Gather a numbered and dated quote as its client reads it, with its further instruments."""
    workshop = Workshop.objects.get()
    if quote.issued_on is None or quote.valid_until is None:
        raise ValueError("A quote needs its date of issue and its last valid day.")
    return QuotePaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(quote.commission.client, workshop),
        number=quote.number,
        version=quote.version,
        title=quote.title,
        specification=quote.specification,
        options=tuple(quote.options),
        offered=tuple(_offered(choice) for choice in choices if choice.is_offered),
        totals=paper_totals(offer.document, offer.currency, quote.title, tax_name()),
        allowances=tuple(_client_allowances(offer)),
        parts=paper_parts(quote, offer),
        issued_on=quote.issued_on,
        valid_until=quote.valid_until,
        ready_on=offer.ready_on,
        terms=quote.terms,
        is_letter_size=is_letter_size(workshop.country),
        pictures=tuple(wood_pictures(quote)),
        charged=_charged(quote),
        rows=specification_of(quote),
        further=tuple(_instrument(one, own) for one, own in further),
        payment_days=PricingPolicy.objects.values_list("payment_days", flat=True).first(),
    )


def _instrument(one: Quote, offer: Offer) -> PaperInstrument:
    return PaperInstrument(
        title=one.title,
        rows=specification_of(one),
        specification=one.specification,
        options=tuple(one.options),
        ready_on=offer.ready_on,
    )


def _charged(quote: Quote) -> str:
    """Tell the client how work without a fixed price is charged; nothing where the price is."""
    if not quote.is_time_and_materials:
        return ""
    rate = f"{in_figures(quote.shop_rate, quote.currency)} {quote.currency}"
    return (
        f"An estimate: the invoice goes by the hours worked, at {rate} an hour before tax, and by "
        "the materials used, at our prices of the day. It is sent once the work is done."
    )


MOST_PICTURES = 2
"""Photos of chosen wood on a quote: one of each piece, the first rows first."""


def wood_pictures(quote: Quote) -> Iterable[PaperPicture]:
    """Return photos of pieces that were chosen for the quote and its further instruments.

    Where there are several, the words name the instrument that a piece is for.
    """
    titles = {one.pk: one.title for one in quote.instruments}
    rows = QuoteMaterial.objects.filter(quote__in=titles).exclude(lot=None)
    places = list(titles)
    chosen = sorted(
        rows.select_related("material__species"), key=lambda row: places.index(row.quote_id)
    )
    shown = {row.lot_id: row for row in chosen}
    for photo in first_photos(shown)[:MOST_PICTURES]:
        row = shown[photo.lot_id]
        species = row.material.species if row.material else None
        words = f"{row.name}: {species}" if species else row.name
        if len(titles) > 1:
            words = f"{titles[row.quote_id]}, {words}"
        yield PaperPicture(name=photo.image.name or "", words=words)


def paper_parts(quote: Quote, offer: Offer) -> tuple[PaperPart, ...]:
    """Set out the parts of the price with their shares and when each is asked for."""
    terms = read_parts(quote.parts)
    return tuple(
        PaperPart(words=part.name, amount=part.amount, share=_shown(term.percent), when=when)
        for part, term, when in zip(offer.parts, terms, _when(len(terms)), strict=True)
    )


def _shown(percent: Decimal) -> Decimal:
    """Return a share as it is shown: a third is 33.33 %."""
    return round(percent, 2) if percent != round(percent, 2) else percent


def _when(count: int) -> Sequence[str]:
    if count == 1:
        return ["before delivery"]
    return ["on ordering", *["during the build"] * (count - 2), "before delivery"]


def _offered(choice: PricedOption) -> OfferedOption:
    return OfferedOption(
        name=choice.name,
        is_on=choice.is_on,
        amount=choice.client_net,
        days=choice.days,
        one_of=choice.one_of,
    )


def letterhead_of(workshop: Workshop) -> Letterhead:
    """The workshop as it stands on a paper today."""
    return Letterhead(
        name=workshop.name,
        maker=workshop.maker,
        address=workshop.address,
        email=workshop.email,
        phone=workshop.phone,
        tax_number=workshop.tax_number if workshop.tax_registered else "",
    )


def addressee_of(client: Client, workshop: Workshop) -> Addressee:
    """The client as they stand on a paper today; abroad, the country ends the address."""
    lines = client.address.splitlines()
    if client.country and client.country != workshop.country:
        country = country_name(client.country)
        if not lines or lines[-1].strip().casefold() != country.casefold():
            lines.append(country)
    return Addressee(name=client.name, address="\n".join(lines), tax_number=client.tax_number)


def tax_name() -> str:
    """What the shop calls its tax."""
    return PricingPolicy.objects.values_list("tax_name", flat=True).first() or "Tax"


def paper_totals(document: TaxedDocument, currency: str, title: str, tax_words: str) -> PaperTotals:
    """Set out a taxed document; its first line is the instrument, named by the title.

    Where there are several rates, every line says its own.
    """
    first, *others = document.lines
    is_mixed = len(document.groups) > 1

    def line(name: str, amount: Decimal, rate: TaxRate) -> PaperLine:
        return PaperLine(words=f"{name}, {rate.words}" if is_mixed else name, amount=amount)

    lines = [line(title, first.net, first.rate)]
    lines += [line(off.name, -off.net, off.rate) for off in document.allowances]
    lines += [line(more.name, more.net, more.rate) for more in (*others, *document.charges)]
    taxed = [group for group in document.groups if group.tax]
    return PaperTotals(
        currency=currency,
        lines=tuple(lines),
        net=document.net,
        taxes=tuple(
            PaperLine(
                words=f"{tax_words} {plain(group.rate.percent)} % of "
                f"{in_figures(group.taxable, currency)}",
                amount=group.tax,
            )
            for group in taxed
        ),
        rounding=document.rounding,
        gross=document.due,
        remark=" ".join(_untaxed(document)),
    )


def in_figures(amount: Decimal, currency: str) -> str:
    """Write an amount to the minor unit of its currency, thousands apart: 1,234.50."""
    minor_unit = minor_unit_of(currency)
    places = max(-int(minor_unit.as_tuple().exponent), 0)
    return f"{round_money(amount, minor_unit):,.{places}f}".replace("-", "\N{MINUS SIGN}")


def _untaxed(document: TaxedDocument) -> Iterable[str]:
    return (f"{group.rate.words}: no tax is charged." for group in document.groups if not group.tax)


def _client_allowances(offer: Offer) -> Iterable[PaperLine]:
    rate = offer.client_price.money.rate if offer.client_price else Decimal(1)
    for allowance in offer.allowances:
        yield PaperLine(words=allowance.name, amount=allowance.amount * rate)
