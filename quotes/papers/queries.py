"""How papers look, and what the specification of a quote says today, filled from its pieces."""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass

from inventory.models import Lot, Promise
from quotes.models import PaperLook, Quote, QuoteSpec
from shop.patterns.calc import SpecRow, with_replaced


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecLine:
    """A row of a quote's specification and what it says; `is_filled` by its material or piece."""

    row: QuoteSpec
    says: SpecRow
    is_filled: bool

    @property
    def is_missing(self) -> bool:
        """Say whether the row is asked for and says nothing."""
        return self.row.is_asked and not self.says.words


def paper_look() -> PaperLook:
    """Return how papers look; a shop that chose nothing has ink, and no logo."""
    return PaperLook.objects.first() or PaperLook(pk=1)


def spec_lines(quote: Quote) -> list[SpecLine]:
    """Return the rows that count with the options as they are, in two queries.

    A row of an option stands in for its namesake. The piece held for a row's material, or chosen
    for it, says what the wood is; without one its own value does, or else the material's name.
    """
    rows = list(
        quote.specs.select_related(
            "material__lot__material__species", "material__material__species"
        )
    )
    held = _held_for(quote) if any(row.material_id for row in rows) else {}
    return [_line(row, _piece_of(row, quote, held)) for row in _counting(rows, quote)]


def _line(row: QuoteSpec, lot: Lot | None) -> SpecLine:
    if lot is not None:
        wood = f"{lot.material.species or lot.material}, {lot.number}"
        return SpecLine(row=row, says=SpecRow(name=row.name, value=wood), is_filled=True)
    if not row.value and row.material and (named := row.material.material):
        wood = str(named.species or named)
        return SpecLine(row=row, says=SpecRow(name=row.name, value=wood), is_filled=True)
    own = SpecRow(name=row.name, value=row.value, unit=row.unit)
    return SpecLine(row=row, says=own, is_filled=False)


def specification_of(quote: Quote) -> tuple[SpecRow, ...]:
    """Return the rows that a paper of the quote shows: empty ones are left out."""
    return tuple(line.says for line in spec_lines(quote) if line.says.words)


def rows_with_options(
    quote: Quote, sent: Iterable[SpecRow], options: list[str]
) -> tuple[SpecRow, ...]:
    """Return the rows of a sent quote as they read with other options on."""
    switched = copy(quote)
    switched.options = options
    rows = list(quote.specs.all())
    of_options = {row.name for row in rows if row.option}
    new = [line.says for line in spec_lines(switched) if line.row.name in of_options]
    return with_replaced((row for row in sent if row.name not in of_options), new)


def _counting(rows: list[QuoteSpec], quote: Quote) -> Iterable[QuoteSpec]:
    on = [row for row in rows if not row.option or row.option in quote.options]
    standing_in = {row.name.casefold(): row for row in on if row.option}
    first = {row.name.casefold(): row for row in reversed(on)}
    return [standing_in.get(key, row) for key, row in reversed(first.items())]


def _held_for(quote: Quote) -> dict[str, Lot]:
    promises = Promise.objects.filter(
        holder=quote.holder, outstanding__gt=0, lot__isnull=False
    ).select_related("lot__material__species")
    return {promise.line: promise.lot for promise in promises.order_by("-pk") if promise.lot}


def _piece_of(row: QuoteSpec, quote: Quote, held: dict[str, Lot]) -> Lot | None:
    """Return what the quote has for the row: a draft's own choice may be later than its hold."""
    if row.material is None:
        return None
    kept = held.get(row.material.hold_key)
    return row.material.lot or kept if quote.is_draft else kept or row.material.lot
