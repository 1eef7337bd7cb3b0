"""What is promised to whom, and what of it the shelf can no longer keep: taken, cut or sold."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import F

from inventory.models import SHELF_STATES, Material, Promise

_ZERO = Decimal(0)


def promised_materials(holders: Iterable[str]) -> list[Material]:
    """Return what is promised to `holders`: what is to be locked before any of it is let go."""
    promises = Promise.objects.filter(holder__in=list(holders), outstanding__gt=0)
    return [promise.material for promise in promises.select_related("material")]


def lacking_of(promises: Iterable[Promise]) -> dict[int, Decimal]:
    """How much of each of `promises` is no longer there, by its key, in base units.

    A promised piece lacks when it is gone or no longer fit. Of what is promised by the quantity,
    the last promised lacks first. One query; give each promise its lot with its piece.
    """
    rows = list(promises)
    lacking = {row.pk: _lacking_piece(row) for row in rows if row.lot_id}
    return lacking | _lacking_quantities({row.material_id for row in rows if not row.lot_id})


def _lacking_piece(promise: Promise) -> Decimal:
    lot = promise.lot
    kept = lot is not None and lot.remaining > 0
    if kept and hasattr(lot, "piece"):
        kept = lot.piece.state in SHELF_STATES  # type: ignore[union-attr]
    return _ZERO if kept else promise.outstanding


def _lacking_quantities(materials: set[int]) -> dict[int, Decimal]:
    short = Promise.objects.filter(
        outstanding__gt=0,
        material__in=materials,
        material__promised__gt=F("material__on_hand") - F("material__unfit"),
    ).select_related("material", "lot__piece")
    held: dict[Material, list[Promise]] = defaultdict(list)
    for promise in short.order_by("pk"):
        held[promise.material].append(promise)
    lacking: dict[int, Decimal] = {}
    for material, promises in held.items():
        lacking |= _served_in_turn(material.on_hand - material.unfit, promises)
    return lacking


def _served_in_turn(left: Decimal, promises: list[Promise]) -> dict[int, Decimal]:
    """Serve promised pieces, then quantities in the order they were promised."""
    pieces = [promise for promise in promises if promise.lot_id]
    left -= sum((one.outstanding - _lacking_piece(one) for one in pieces), _ZERO)
    lacking = {}
    for promise in promises:
        if not promise.lot_id:
            kept = min(max(left, _ZERO), promise.outstanding)
            lacking[promise.pk], left = promise.outstanding - kept, left - kept
    return lacking
