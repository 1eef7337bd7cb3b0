"""Pieces that belong together: sawn from one log, or two halves of one set."""

from inventory.models import Lot, Piece


def sisters_of(piece: Piece) -> list[Lot]:
    """Pieces on the shelf from the same log or billet as `piece`, or cut from the same board."""
    rows = Lot.objects.filter(remaining__gt=0).exclude(pk=piece.pk).select_related("material")
    if piece.log:
        return list(rows.filter(piece__log__iexact=piece.log)[:20])
    if piece.lot.cut_from_id:
        return list(
            rows.filter(cut_from=piece.lot.cut_from_id, material=piece.lot.material_id)[:20]
        )
    return []
