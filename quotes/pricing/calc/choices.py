"""Options priced one by one beside an offer, and the offer with some of them switched.

Each option has one price: what the net changes by when it alone is switched, on the day the offer
was made. One of a choice is priced against the one that is on and takes its place. Several together
are added up, so that a client can follow the sum.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from typing import TypeVar

from inventory.base.refusals import Refusal
from quotes.base.calc.figures import NOTHING, Figure, total
from quotes.pricing.calc.compare import Difference, compare_sheets
from quotes.pricing.calc.currency import ClientPrice
from quotes.pricing.calc.offer import Offer, OfferedMaterial, OfferedStage
from quotes.pricing.calc.parts import PartTerm, payment_parts
from quotes.pricing.calc.pricing import CHOSEN, PriceSheet
from quotes.pricing.calc.tax import TaxableLine, TaxRate
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document
from shop.patterns.calc import check_choices

Row = TypeVar("Row", OfferedStage, OfferedMaterial)


@dataclass(frozen=True, slots=True, kw_only=True)
class RateShare:
    """The part of an option's nets that is taxed at one rate."""

    rate: TaxRate
    net: Decimal
    client_net: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedOption:
    """One option and what switching it does to an offer; below 0 is less.

    `is_on` tells how it stands in the offer. `net` (home money) opens to `steps`; `client_net` is
    in the client's money. `rates` cut both by tax; none means all at the
    instrument's own rate. `days` are calendar days. `stages` and `materials` are the option's own.
    `one_of` names the choice of which exactly one is on; the one that is on changes nothing.
    """

    name: str
    is_on: bool
    is_offered: bool
    net: Decimal
    client_net: Decimal
    hours: Decimal
    days: int
    steps: tuple[Figure, ...]
    stages: tuple[OfferedStage, ...]
    materials: tuple[OfferedMaterial, ...]
    rates: tuple[RateShare, ...] = ()
    one_of: str = ""

    @property
    def line_name(self) -> str:
        """What the switched option is called on a line of a document."""
        if self.one_of:
            return f"{self.one_of}: {self.name}"
        return f"Without {self.name[:1].lower()}{self.name[1:]}" if self.is_on else self.name


def price_choice(
    name: str,
    offer: Offer,
    switched: Offer,
    *,
    is_on: bool,
    is_offered: bool = False,
    days: int = 0,
) -> PricedOption:
    """Price one option from the offer and the same offer with only that option switched."""
    difference = compare_sheets(offer.sheet, switched.sheet)
    with_it, without = (offer, switched) if is_on else (switched, offer)
    return PricedOption(
        name=name,
        is_on=is_on,
        is_offered=is_offered,
        net=difference.net,
        client_net=switched.document.net - offer.document.net,
        hours=difference.hours,
        days=days,
        steps=tuple(_figure(step) for step in difference.steps),
        stages=_own(with_it.stages, without.stages),
        materials=_own(with_it.materials, without.materials),
        rates=_rates(offer, switched),
    )


def in_choice(choice: PricedOption, one_of: str) -> PricedOption:
    """Return the option as one of a choice; the one that is on is what others are priced against.

    That one was priced beside the offer with another of them on, which tells its own rows.
    """
    if not choice.is_on:
        return replace(choice, one_of=one_of)
    return replace(
        choice,
        one_of=one_of,
        net=NOTHING,
        client_net=NOTHING,
        hours=NOTHING,
        days=0,
        steps=(),
        rates=(),
    )


def options_chosen(
    options: Iterable[str], choices: Iterable[PricedOption], wanted: Collection[str]
) -> list[str]:
    """Return the options that are on when, of those offered, exactly `wanted` are.

    Raises Refusal on a name that is not offered, and unless of each choice exactly one is wanted.
    """
    choices = [choice for choice in choices if choice.is_offered]
    offered = {choice.name for choice in choices}
    for name in wanted:
        if name not in offered:
            raise Refusal(f"“{name}” is not one of the options offered here.", field="options")
    check_choices(wanted, {choice.name: choice.one_of for choice in choices if choice.one_of})
    kept = [name for name in options if name not in offered or name in wanted]
    return [*kept, *(name for name in dict.fromkeys(wanted) if name not in kept)]


def with_choices(
    offer: Offer,
    choices: Iterable[PricedOption],
    options: Collection[str],
    terms: Sequence[PartTerm],
) -> Offer:
    """Return the offer with exactly `options` on, at the prices of `choices`.

    Each switched option is a line of its own. `terms` cut the new gross into parts. Raises
    Refusal when nothing is left to pay.
    """
    switched = [choice for choice in choices if (choice.name in options) != choice.is_on]
    if not switched:
        return offer
    client_price = _client_price(offer.client_price, switched) if offer.client_price else None
    sheet = _sheet(offer.sheet, switched)
    document = client_price.document if client_price else sheet.document
    if document.net <= 0:
        raise Refusal("These options leave nothing to pay. Choose others.", field="options")
    days = sum(choice.days for choice in switched)
    return replace(
        offer,
        sheet=sheet,
        client_price=client_price,
        parts=payment_parts(document.due, terms, document.unit),
        stages=_rows(offer.stages, [(choice.is_on, choice.stages) for choice in switched]),
        materials=_rows(offer.materials, [(choice.is_on, choice.materials) for choice in switched]),
        ready_on=offer.ready_on + timedelta(days=days) if offer.ready_on else None,
        ready_because=f"{offer.ready_because}; {days} days for options" if days else "",
        ready_steps=(),
    )


def _rates(offer: Offer, switched: Offer) -> tuple[RateShare, ...]:
    nets = _moved(offer.sheet.document, switched.sheet.document)
    client_nets = _moved(offer.document, switched.document)
    moved = [rate for rate in nets | client_nets if nets.get(rate) or client_nets.get(rate)]
    if moved == [offer.document.lines[0].rate]:
        return ()
    return tuple(
        RateShare(
            rate=rate,
            net=nets.get(rate, NOTHING),
            client_net=client_nets.get(rate, NOTHING),
        )
        for rate in moved
    )


def _moved(before: TaxedDocument, after: TaxedDocument) -> dict[TaxRate, Decimal]:
    """How much more is taxable at each rate."""
    moved = {group.rate: group.taxable for group in after.groups}
    for group in before.groups:
        moved[group.rate] = moved.get(group.rate, NOTHING) - group.taxable
    return moved


def _figure(difference: Difference) -> Figure:
    """Turn a difference into a figure; parts that don't make its amount are left out."""
    parts = tuple(_figure(part) for part in difference.parts)
    return Figure(
        name=difference.name,
        amount=difference.amount,
        how=_how(difference),
        parts=parts if total(parts) == difference.amount else (),
    )


def _how(difference: Difference) -> str:
    before, after = difference.how_before, difference.how_after
    if difference.after is None:
        return f"removed: {before}" if before else "removed"
    return f"{before} → {after}" if before and before != after else after


def _own(rows: Iterable[Row], others: Iterable[Row]) -> tuple[Row, ...]:
    known = {row.key for row in others}
    return tuple(row for row in rows if row.key not in known)


def _sheet(sheet: PriceSheet, switched: Sequence[PricedOption]) -> PriceSheet:
    figures = tuple(
        Figure(
            name=choice.line_name,
            amount=choice.net,
            how="option, at its price in the quote",
            key=f"{CHOSEN}{choice.name}",
            parts=choice.steps,
        )
        for choice in _with_lines(switched)
    )
    return replace(
        sheet,
        hours=sheet.hours + sum((choice.hours for choice in switched), NOTHING),
        additions=(*figures, *sheet.additions),
        document=_document(sheet.document, _lines(sheet.document, _with_lines(switched))),
    )


def _client_price(price: ClientPrice, switched: Sequence[PricedOption]) -> ClientPrice:
    figures = tuple(
        Figure(name=choice.line_name, amount=choice.client_net, key=f"{CHOSEN}{choice.name}")
        for choice in _with_lines(switched)
    )
    return replace(
        price,
        net=replace(
            price.net, amount=price.net.amount + total(figures), parts=(*price.net.parts, *figures)
        ),
        document=_document(
            price.document, _lines(price.document, _with_lines(switched), in_client_money=True)
        ),
    )


def _lines(
    document: TaxedDocument, switched: Iterable[PricedOption], *, in_client_money: bool = False
) -> Iterable[TaxableLine]:
    for choice in switched:
        whole = RateShare(rate=document.lines[0].rate, net=choice.net, client_net=choice.client_net)
        for share in choice.rates or (whole,):
            net = share.client_net if in_client_money else share.net
            yield TaxableLine(name=choice.line_name, net=net, rate=share.rate)


def _with_lines(switched: Sequence[PricedOption]) -> list[PricedOption]:
    """Those that change the price: what was on in a choice gives way to the one that is priced."""
    return [choice for choice in switched if not (choice.one_of and choice.is_on)]


def _document(document: TaxedDocument, added: Iterable[TaxableLine]) -> TaxedDocument:
    first, *others = document.lines
    return tax_document(
        [first, *added, *others],
        allowances=document.allowances,
        charges=document.charges,
        rounding=document.rounding,
        minor_unit=document.unit,
    )


def _rows(rows: Iterable[Row], switched: Iterable[tuple[bool, tuple[Row, ...]]]) -> tuple[Row, ...]:
    kept: tuple[Row, ...] = tuple(rows)
    for was_on, own in switched:
        kept = _own(kept, own) if was_on else kept + own
    return kept
