"""Two quotes side by side, or one as ordered and as it is built: figures and words that differ."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from difflib import ndiff

from quotes.base.calc.figures import Figure
from quotes.changes.queries import (
    SpecificationStep,
    current_specification,
    specification_steps,
)
from quotes.models import Quote
from quotes.papers.queries import specification_of
from quotes.pricing.calc.compare import Difference, compare_figures
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.taxing import taxed_change
from shop.patterns.calc import SpecRow, rows_from

ROW_KEY = re.compile(r"(stage|material|extra|instrument):\d+$")


@dataclass(frozen=True, slots=True, kw_only=True)
class WordLine:
    """One line of the specifications: in both, only before, or only after."""

    mark: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A quote as it is compared: under a label, with the changes agreed to it that count there.

    `changed` is what those come to, gross, in the client's money.
    """

    quote: Quote
    label: str
    offer: Offer
    changes: tuple[SpecificationStep, ...]
    changed: Decimal
    ready_on: date | None

    @property
    def price(self) -> Decimal:
        """The price of all instruments, net, in home money."""
        return self.offer.sheet.price + self.offer.sheet.amount("further")

    @property
    def gross(self) -> Decimal:
        """What the client pays in all."""
        return self.offer.document.due + self.changed


@dataclass(frozen=True, slots=True, kw_only=True)
class SideBySide:
    """Two quotes with the steps of their prices and the words that differ."""

    before: Side
    after: Side
    differences: tuple[Difference, ...]
    words: tuple[WordLine, ...]

    @property
    def is_same_quote(self) -> bool:
        """Say whether it is one quote, as ordered and with what was agreed since."""
        return self.before.quote == self.after.quote

    @property
    def net_more(self) -> Decimal:
        """By how much the price differs, net, in home money."""
        return self.after.price - self.before.price

    @property
    def gross_more(self) -> Decimal | None:
        """By how much what the client pays in all differs; nothing between two moneys."""
        is_one_money = self.before.offer.currency == self.after.offer.currency
        return self.after.gross - self.before.gross if is_one_money else None


def side_by_side(before: Quote, after: Quote, on: date) -> SideBySide:
    """Compare two quotes with what was agreed to each since; a draft as it is priced on the day.

    A quote beside itself is compared as it was ordered with as it is built now. Raises Refusal
    without a price.
    """
    is_same = before == after
    label = _labels(before, after)
    old = _side(before, label[0], on, with_changes=not is_same)
    new = _side(after, label[1], on, with_changes=True)
    return SideBySide(
        before=old,
        after=new,
        differences=compare_figures(
            _by_name(old.offer.sheet.steps), _by_name(new.offer.sheet.steps)
        ),
        words=tuple(_words(old, new)),
    )


def _labels(before: Quote, after: Quote) -> tuple[str, str]:
    if before == after:
        return "As ordered", "With change orders"
    if before.number == after.number or not after.number:
        return f"Version {before.version}", f"Version {after.version}"
    return before.number or "Draft", after.number


def _side(quote: Quote, label: str, on: date, *, with_changes: bool) -> Side:
    offer = offer_of(quote, on=on)
    is_accepted = with_changes and quote.state == Quote.State.ACCEPTED
    changes = tuple(specification_steps(quote)[1:]) if is_accepted else ()
    promised = quote.build.promised_on if changes and quote.build else None
    return Side(
        quote=quote,
        label=label,
        offer=offer,
        changes=changes,
        changed=sum((taxed_change(step.change).due for step in changes if step.change), Decimal(0)),
        ready_on=promised or offer.ready_on,
    )


def _by_name(figures: Iterable[Figure]) -> tuple[Figure, ...]:
    """Take the rows' own keys off, which no two quotes share, so that names are compared."""
    return tuple(
        replace(
            figure,
            key="" if ROW_KEY.match(figure.key) else figure.key,
            parts=_by_name(figure.parts),
        )
        for figure in figures
    )


def _words(before: Side, after: Side) -> Iterable[WordLine]:
    marks = {"- ": "before", "+ ": "after", "  ": "both"}
    for line in ndiff(list(_lines(before)), list(_lines(after))):
        if line[:2] in marks:
            yield WordLine(mark=marks[line[:2]], text=line[2:])


def _lines(side: Side) -> Iterable[str]:
    for one in side.quote.instruments:
        yield from _lines_of(one, side)
    for step in side.changes:
        yield from (step.title, *(step.change.words.splitlines() if step.change else ()))


def _lines_of(quote: Quote, side: Side) -> Iterable[str]:
    yield quote.title
    if quote.is_draft:
        yield from _said(specification_of(quote), quote.specification)
    elif side.changes:
        now = current_specification(quote)
        yield from _said(now.rows, now.text)
    else:
        paper = (quote.frozen or {})["paper"]
        yield from _said(rows_from(paper.get("rows", ())), quote.specification)
    yield from quote.options


def _said(rows: Iterable[SpecRow], text: str) -> Iterable[str]:
    return (*(f"{row.name}: {row.words}" for row in rows), *text.splitlines())
