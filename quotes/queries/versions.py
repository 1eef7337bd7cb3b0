"""Two quotes side by side: figures that differ, and words that were changed."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from difflib import ndiff

from quotes.calc.compare import Difference, compare_figures
from quotes.calc.figures import Figure
from quotes.calc.offer import Offer
from quotes.models import Quote
from quotes.queries.offer import offer_of

ROW_KEY = re.compile(r"(stage|material|extra):\d+$")


@dataclass(frozen=True, slots=True, kw_only=True)
class WordLine:
    """One line of the specifications: in both, only before, or only after."""

    mark: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SideBySide:
    """Two quotes with the steps of their prices that differ."""

    before: Quote
    after: Quote
    before_offer: Offer
    after_offer: Offer
    differences: tuple[Difference, ...]
    words: tuple[WordLine, ...]


def side_by_side(before: Quote, after: Quote, on: date) -> SideBySide:
    """Compare two quotes; a draft is priced as it is on the day. Raises Refusal without a price."""
    old, new = offer_of(before, on=on), offer_of(after, on=on)
    return SideBySide(
        before=before,
        after=after,
        before_offer=old,
        after_offer=new,
        differences=compare_figures(_by_name(old.sheet.steps), _by_name(new.sheet.steps)),
        words=tuple(_words(before, after)),
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


def _words(before: Quote, after: Quote) -> Iterable[WordLine]:
    old = [before.title, *before.specification.splitlines(), *before.options]
    new = [after.title, *after.specification.splitlines(), *after.options]
    marks = {"- ": "before", "+ ": "after", "  ": "both"}
    for line in ndiff(old, new):
        if line[:2] in marks:
            yield WordLine(mark=marks[line[:2]], text=line[2:])
