"""Use up what a holder was promised by what was drawn for it."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.models import Material, Promise, PromiseUse, StockEntry


@transaction.atomic
def use_promises(
    *, entries: Sequence[StockEntry], material: Material, holder: str, line: str, now: datetime
) -> None:
    """Lower the promises of `material` to `holder` by what `entries` took, the fitting first.

    Each use is kept, so that a corrected draw gives it back. The caller holds the lock.
    """
    open_ones = list(Promise.objects.filter(material=material, holder=holder, outstanding__gt=0))
    for entry in entries:
        wanted = -entry.quantity
        for promise in sorted(open_ones, key=lambda one: _fitness(one, entry, line)):
            used = min(wanted, promise.outstanding)
            if used <= 0:
                continue
            wanted -= used
            _use(promise, entry, used, now)


def _fitness(promise: Promise, entry: StockEntry, line: str) -> tuple[bool, bool, int]:
    """Sort first the promise of this very piece, then that of the same line, then the oldest."""
    same_piece = promise.lot_id is not None and promise.lot_id == entry.lot_id
    return (not same_piece, promise.line != line, promise.pk)


def _use(promise: Promise, entry: StockEntry, used: Decimal, now: datetime) -> None:
    PromiseUse.objects.create(promise=promise, entry=entry, quantity=used)
    Material.objects.filter(pk=promise.material_id).update(
        promised=F("promised") - quantity_value(used)
    )
    promise.outstanding -= used
    promise.ended_at = None if promise.outstanding else now
    promise.save(update_fields=["outstanding", "ended_at"])
