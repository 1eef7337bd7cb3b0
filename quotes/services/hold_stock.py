"""Hold stock for a quote until a date; the hold ends by itself."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Material
from inventory.refusals import Refusal
from inventory.services.promise_stock import promise_stock
from inventory.services.release_promises import release_promises
from inventory.stock_refusals import check_stands_in
from quotes.locking import lock_quote
from quotes.models import Quote
from quotes.queries.costing import CostedLine
from quotes.queries.pieces import Chosen, Held, held_for, pieces_for
from quotes.queries.pricing import costed_lines
from quotes.services.change_rows import change_rows
from quotes.services.lapse_quotes import lapse_quotes
from shop.queries.proposals import proposed_pieces

NOTHING_CHOSEN: Chosen = {}
HOLDABLE = {Quote.State.DRAFT, Quote.State.ISSUED}


@transaction.atomic
def hold_stock(
    *,
    quote: Quote,
    until: date,
    on: date,
    now: datetime,
    chosen: Chosen = NOTHING_CHOSEN,
) -> list[tuple[str, Decimal]]:
    """Put aside what the shelf has for a quote up to `until`; return what is missing, by name.

    Missing quantities are in base units. An earlier hold of the quote is replaced, and keeps its
    pieces where no others are `chosen`; a draft keeps what was chosen with its row. Raises
    PieceNotFree when a chosen piece is not to be had, and Refusal for a day that is over: then
    nothing changes.
    """
    if until < on:
        raise Refusal("That day is over; give the last day of the hold.", field="until")
    lapse_quotes(on=on, now=now)
    locked = lock_quote(quote)
    if locked.state not in HOLDABLE:
        raise Refusal(f"{locked} is {locked.get_state_display()}; nothing is held for it.")
    held = held_for(locked, only_kept=True)
    _name_pieces(locked, chosen, held)
    lines = [line for line in costed_lines(locked) if line.row.material]
    pieces = {line.row.pk: pieces_for(locked, line.row, held=held, chosen=chosen) for line in lines}
    lots = [lot for wished in pieces.values() for lot in wished]
    materials = [line.row.material for line in lines if line.row.material]
    lock_materials([*materials, *(lot.material for lot in lots)])
    release_promises(holder=locked.holder, now=now)
    locked.held_until = until
    locked.save(update_fields=["held_until"])
    missing = [
        (line.row.name, _hold_line(locked, line, pieces[line.row.pk], on, now)) for line in lines
    ]
    return [(name, quantity) for name, quantity in missing if quantity > 0]


def _name_pieces(quote: Quote, chosen: Chosen, held: Held) -> None:
    """Keep with a draft's rows which pieces were chosen for them, beyond those held already."""
    if quote.state != Quote.State.DRAFT:
        return
    keys = {row.pk: row.hold_key for row in quote.materials.all()}
    named = {
        row: {"lot": lot}
        for row, lot in chosen.items()
        if lot is None or lot not in held.get(keys.get(row, ""), ())
    }
    if named:
        change_rows(quote=quote, materials=named)


def _hold_line(
    quote: Quote, line: CostedLine, wished: Sequence[Lot], on: date, now: datetime
) -> Decimal:
    """Promise what there is for one line and return what is not."""
    material = line.row.material
    if material is None:
        return Decimal(0)
    if material.is_piece:
        wanted = int(line.to_draw)
        lots = _pieces(line, material, wished, on)
        for lot in lots:
            check_stands_in(lot, material, line.row.name)
            _promise(quote, line, lot.material, Decimal(1), now, lot)
        return Decimal(wanted - len(lots))
    quantity = min(line.to_draw, max(Material.objects.get(pk=material.pk).free, Decimal(0)))
    if quantity > 0:
        _promise(quote, line, material, quantity, now, None)
    return line.to_draw - quantity


def _pieces(line: CostedLine, material: Material, wished: Sequence[Lot], on: date) -> Sequence[Lot]:
    """Return the pieces that are wished for, and the best ones that are free for the rest."""
    wanted = int(line.to_draw)
    if len(wished) >= wanted:
        return wished[:wanted]
    best = proposed_pieces(line.row.template_line, material, wanted, on=on)
    return [*wished, *(lot for lot in best if lot not in wished)][:wanted]


def _promise(
    quote: Quote,
    line: CostedLine,
    material: Material,
    quantity: Decimal,
    now: datetime,
    lot: Lot | None,
) -> None:
    promise_stock(
        material=material,
        quantity=quantity,
        holder=quote.holder,
        holder_name=f"quote {quote}",
        now=now,
        lot=lot,
        line=line.row.hold_key,
        until=quote.held_until,
    )
