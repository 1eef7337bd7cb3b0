"""Stock held for a quote, piece by piece."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_stands_in
from inventory.models import Lot, Material
from inventory.reservations.queries import promised_materials
from inventory.reservations.services import release_reservations, reserve_stock
from quotes.base.locking import check_draft, lock_quote
from quotes.models import Quote, QuoteMaterial
from quotes.pricing.queries.costing import CostedLine
from quotes.pricing.queries.pricing import costed_lines
from quotes.quoting.locking import lock_with_ended
from quotes.quoting.queries.pieces import Chosen, HeldPieces, held_for, pieces_for
from quotes.quoting.services.decide import end_quotes
from quotes.quoting.services.rows import edit_rows
from shop.pieces.queries import proposed_pieces

NOTHING_CHOSEN: Chosen = {}
HOLDABLE = {Quote.State.DRAFT, Quote.State.ISSUED}


@in_attempts
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
        raise Refusal("That day has passed. Give today or a later day.", field="until")
    locked, ended = lock_with_ended(quote, on)
    if locked.state not in HOLDABLE:
        raise Refusal(f"{locked} is {locked.get_state_display()}; no stock can be reserved for it.")
    _lock_stock_of(locked, ended, chosen)
    end_quotes(ended=ended, on=on, now=now)
    held = held_for(locked, only_kept=True)
    _name_pieces(locked, chosen, held)
    lines = [line for line in costed_lines(locked) if line.row.material]
    pieces = {line.row.pk: pieces_for(locked, line.row, held=held, chosen=chosen) for line in lines}
    release_reservations(holder=locked.holder, now=now)
    locked.held_until = until
    locked.save(update_fields=["held_until"])
    missing = [
        (line.row.name, _hold_line(locked, line, pieces[line.row.pk], on, now)) for line in lines
    ]
    return [(name, quantity) for name, quantity in missing if quantity > 0]


def _lock_stock_of(quote: Quote, ended: Iterable[Quote], chosen: Chosen) -> None:
    """Lock all stock that a hold reaches at once: named, chosen, held for it, and to be let go."""
    rows = quote.materials.select_related("material", "lot__material")
    lots = [*chosen.values(), *(row.lot for row in rows)]
    lock_materials(
        [
            *(row.material for row in rows if row.material),
            *(lot.material for lot in lots if lot),
            *promised_materials(one.holder for one in [quote, *ended]),
        ]
    )


def _name_pieces(quote: Quote, chosen: Chosen, held: HeldPieces) -> None:
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
        edit_rows(quote=quote, materials=named)


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
    reserve_stock(
        material=material,
        quantity=quantity,
        holder=quote.holder,
        holder_name=f"quote {quote}",
        now=now,
        lot=lot,
        line=line.row.hold_key,
        until=quote.held_until,
    )


@in_attempts
@transaction.atomic
def release_hold(*, quote: Quote, now: datetime) -> Quote:
    """Return the quote without its hold. Raises Refusal when nothing is held for it."""
    locked = lock_quote(quote)
    if locked.held_until is None:
        raise Refusal(f"No stock is reserved for {locked}.")
    release_reservations(holder=locked.holder, now=now)
    locked.held_until = None
    locked.save(update_fields=["held_until"])
    return locked


@transaction.atomic
def choose_piece(*, row: QuoteMaterial, lot: Lot | None, on: date, now: datetime) -> Quote:
    """Name `lot` in a row of a draft, or leave the row to the best one that is free.

    It may be of another material than the row's. While stock is held for the quote, it is put aside
    in place of the one before. Raises NotADraft, PieceNotFree when a quote on hold can't have it,
    and Refusal for what is no piece.
    """
    draft, _ = lock_with_ended(row.quote, on)  # those too that the hold below lets go of
    check_draft(draft)
    edit_rows(quote=draft, materials={row.pk: {"lot": lot}})
    if draft.held_until and draft.held_until >= on:
        hold_stock(quote=draft, until=draft.held_until, on=on, now=now, chosen={row.pk: lot})
    return draft
