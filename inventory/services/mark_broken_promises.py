"""Mark what took stock that somebody else was promised: it is to be reconciled."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from inventory.models import Material, Promise, StockEntry


@transaction.atomic
def mark_broken_promises(
    *, entries: Sequence[StockEntry], material: Material, holder: str = ""
) -> None:
    """Set `to_reconcile` on those of `entries` that broke a promise to another than `holder`.

    A promised piece is broken by whatever takes that piece, or calls it unfit; a promised quantity
    once what is left is less than others were promised, unless the books lacked some anyway. The
    caller holds the lock.
    """
    others = Promise.objects.filter(material=material, outstanding__gt=0)
    others = others.exclude(holder=holder) if holder else others
    owed = others.aggregate(total=Sum("outstanding"))["total"] or Decimal(0)
    if not owed:
        return
    pieces = set(others.filter(lot__isnull=False).values_list("lot_id", flat=True))
    fresh = Material.objects.get(pk=material.pk)
    lacking = owed - (fresh.on_hand - fresh.unfit)
    if any(entry.to_reconcile for entry in entries):
        lacking = Decimal(0)
    for entry in reversed(entries):
        beyond = max(min(lacking, -entry.quantity - _used_of_own(entry)), Decimal(0))
        if entry.lot_id in pieces or beyond > 0:
            entry.to_reconcile = True
            entry.save(update_fields=["to_reconcile"])
            lacking -= beyond


def _used_of_own(entry: StockEntry) -> Decimal:
    """What of `entry` its own holder had been promised."""
    used: Decimal | None = entry.promise_uses.aggregate(total=Sum("quantity"))["total"]
    return used or Decimal(0)
