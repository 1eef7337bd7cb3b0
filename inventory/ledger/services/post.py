"""Write one line of the stock journal and the copies that follow it."""

from decimal import Decimal

from django.db import transaction
from django.db.models import F

from inventory.base.people import signed_in
from inventory.fields import money_value, quantity_value
from inventory.ledger.services.context import PostingContext
from inventory.ledger.services.reserved import count_reserved
from inventory.models import (
    SHELF_STATES,
    VERDICTS,
    Lot,
    Material,
    Piece,
    PieceState,
    Reason,
    StockEntry,
)

GONE_BY = {
    Reason.DRAWN: PieceState.DRAWN,
    Reason.SCRAPPED: PieceState.REJECTED,
    Reason.SENT_BACK: PieceState.RETURNED,
    Reason.SOLD: PieceState.SOLD,
    Reason.COUNTED: PieceState.MISSING,
    Reason.CORRECTED: PieceState.UNDONE,
}


@transaction.atomic
def post_entry(
    *,
    material: Material,
    lot: Lot | None,
    reason: Reason,
    quantity: Decimal,
    cost: Decimal,
    posting: PostingContext,
    holder: str = "",
    line: str = "",
    note: str = "",
    about: StockEntry | None = None,
    to_reconcile: bool = False,
) -> StockEntry:
    """Add an entry with a signed `quantity` and `cost`; the only writer of balances and states.

    Entries of one `posting` are one act. The caller holds the material's lock. Checks nothing: what
    happened is always recorded.
    """
    entry = StockEntry.objects.create(
        material=material,
        lot=lot,
        reason=reason,
        quantity=quantity,
        cost=cost,
        holder=holder,
        line=line,
        note=note[:300],
        happened_at=posting.happened_at,
        recorded_at=posting.recorded_at,
        recorded_by=signed_in(posting.user),
        about=about,
        act=posting.first,
        to_reconcile=to_reconcile,
    )
    posting.first = posting.first or entry
    more, dearer = quantity_value(quantity), money_value(cost)
    Material.objects.filter(pk=material.pk).update(
        on_hand=F("on_hand") + more, book_cost=F("book_cost") + dearer
    )
    if lot is not None:
        Lot.objects.filter(pk=lot.pk).update(
            remaining=F("remaining") + more, remaining_cost=F("remaining_cost") + dearer
        )
        if material.is_piece:
            _follow_piece(entry)
    return entry


def _follow_piece(entry: StockEntry) -> None:
    """Say of the piece whether it is here and what it was judged, and count the shelf anew."""
    piece = Piece.objects.filter(pk=entry.lot_id)
    if entry.quantity:
        gone = GONE_BY.get(Reason(entry.reason), PieceState.USED) if entry.quantity < 0 else ""
        piece.update(gone=gone)
    elif entry.reason == Reason.USED:
        piece.update(gone=PieceState.USED)
    if entry.reason in VERDICTS or entry.reason == Reason.CORRECTED:
        piece.update(verdict=_last_verdict(entry))
    here = Piece.objects.filter(lot__material=entry.material_id, lot__remaining__gt=0)
    unfit = here.exclude(state__in=SHELF_STATES).count()
    Material.objects.filter(pk=entry.material_id).update(unfit=quantity_value(Decimal(unfit)))
    count_reserved(entry.material_id)


def _last_verdict(entry: StockEntry) -> str:
    judged = StockEntry.objects.filter(lot=entry.lot_id, reason__in=VERDICTS)
    standing = judged.exclude(followed_by__reason=Reason.CORRECTED).order_by("pk").last()
    return standing.reason if standing else ""
