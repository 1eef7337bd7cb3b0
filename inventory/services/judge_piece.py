"""Judge a piece on the shelf: downgraded, or rejected, with the reason."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import VERDICTS, Lot, Piece, PieceState, Reason, StockEntry
from inventory.refusals import Refusal
from inventory.services.mark_broken_promises import mark_broken_promises
from inventory.services.post_entry import post_entry
from inventory.told import told


@transaction.atomic
def judge_piece(*, lot: Lot, verdict: str, why: str, now: datetime, user: Any = None) -> StockEntry:
    """Note in the journal that the piece `lot` is no longer fit for what it was bought as.

    It stays on the shelf at its cost, to be cut up, sold or sent back, and nobody is promised it;
    whoever was is short of it. Raises Refusal for what is no piece on the shelf, for a verdict
    that it has already, and without a reason.
    """
    material = lock_materials([lot.material])[lot.material_id]
    if verdict not in VERDICTS:
        raise Refusal("A piece is downgraded or rejected.", field="verdict")
    if not why.strip():
        raise Refusal("Say why, in a few words.", field="why")
    piece = Piece.objects.filter(pk=lot.pk, lot__remaining__gt=0).first()
    if piece is None:
        raise Refusal(f"{lot.number} is no piece on the shelf.")
    if piece.verdict == verdict:
        raise Refusal(f"{lot.number} is {PieceState(verdict).label} already.", field="verdict")
    entry = post_entry(
        material=material,
        lot=lot,
        reason=Reason(verdict),
        quantity=Decimal(0),
        cost=Decimal(0),
        told=told(now, None, user),
        note=why,
    )
    mark_broken_promises(entries=[entry], material=material)
    return entry
