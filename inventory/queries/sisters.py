"""Pieces that belong together: sawn from one log, or two halves of one set."""

from inventory.models import Lot, Piece, Reason, StockEntry


def sisters_of(piece: Piece) -> list[Lot]:
    """Pieces on the shelf from the same log or billet as `piece`, or cut from the same board."""
    rows = Lot.objects.filter(remaining__gt=0).exclude(pk=piece.pk).select_related("material")
    if piece.is_half:
        rows = rows.exclude(cut_from=piece.lot.cut_from_id)
    if piece.log:
        return list(rows.filter(piece__log__iexact=piece.log)[:20])
    if piece.lot.cut_from_id:
        return list(
            rows.filter(cut_from=piece.lot.cut_from_id, material=piece.lot.material_id)[:20]
        )
    return []


def split_of(piece: Piece) -> StockEntry | None:
    """The entry that made `piece` a part of a set that was split; none where it is whole."""
    if not piece.is_half:
        return None
    return piece.lot.entries.filter(reason=Reason.SPLIT, quantity__gt=0).order_by("pk").last()


def other_halves(piece: Piece) -> list[Lot]:
    """The other parts of the set that `piece` was split from, wherever they are by now."""
    if not piece.is_half:
        return []
    rows = Lot.objects.filter(cut_from=piece.lot.cut_from_id, piece__is_half=True)
    return list(rows.exclude(pk=piece.pk).select_related("piece").order_by("number"))
