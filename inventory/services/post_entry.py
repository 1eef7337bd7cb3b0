"""Write one line of the stock journal and the copies that follow it."""

from decimal import Decimal

from django.db import transaction
from django.db.models import F

from inventory.fields import money_value, quantity_value
from inventory.models import Lot, Material, Reason, StockEntry
from inventory.told import Told


@transaction.atomic
def post_entry(
    *,
    material: Material,
    lot: Lot | None,
    reason: Reason,
    quantity: Decimal,
    cost: Decimal,
    told: Told,
    holder: str = "",
    note: str = "",
    about: StockEntry | None = None,
    to_reconcile: bool = False,
) -> StockEntry:
    """Add an entry with a signed `quantity` and `cost`; the only writer of the balances.

    The caller holds the material's lock. Checks nothing: what happened is always recorded.
    """
    entry = StockEntry.objects.create(
        material=material,
        lot=lot,
        reason=reason,
        quantity=quantity,
        cost=cost,
        holder=holder,
        note=note[:300],
        happened_at=told.happened_at,
        recorded_at=told.recorded_at,
        recorded_by=told.user,
        about=about,
        to_reconcile=to_reconcile,
    )
    more, dearer = quantity_value(quantity), money_value(cost)
    Material.objects.filter(pk=material.pk).update(
        on_hand=F("on_hand") + more, book_cost=F("book_cost") + dearer
    )
    if lot is not None:
        Lot.objects.filter(pk=lot.pk).update(
            remaining=F("remaining") + more, remaining_cost=F("remaining_cost") + dearer
        )
    return entry
