"""Take stock off the shelf for any reason, at its cost, whatever the books say is there."""

from collections.abc import Sequence
from decimal import Decimal
from functools import partial

from django.db import transaction
from django.db.models import Case, Exists, OuterRef, QuerySet, When

from inventory.calc.valuation import Layer, Taken, take_average, take_fifo
from inventory.models import (
    SHELF_STATES,
    CostMethod,
    Lot,
    Material,
    Promise,
    Reason,
    StockEntry,
)
from inventory.money import home_unit, replacement_cost
from inventory.services.mark_broken_promises import mark_broken_promises
from inventory.services.post_entry import post_entry
from inventory.services.use_promises import use_promises
from inventory.told import Told


@transaction.atomic
def take_from_shelf(
    *,
    material: Material,
    quantity: Decimal,
    reason: Reason,
    told: Told,
    lot: Lot | None = None,
    holder: str = "",
    line: str = "",
    note: str = "",
) -> list[StockEntry]:
    """Post the entries that take `quantity` away: one for each lot, oldest first, or of `lot`.

    Of pieces, those promised to `holder` come first, then free ones, other people's last.

    What the books lack is taken all the same, at replacement price and marked to be reconciled; so
    is what somebody else was promised. A draw uses up its holder's own promises, that of `line`
    first. The caller holds the material's lock.
    """
    unit = home_unit()
    lots = _lots_on_shelf(material, lot, holder)
    parts, uncovered = _take(material, lots, quantity, unit)
    post = partial(
        post_entry,
        material=material,
        reason=reason,
        told=told,
        holder=holder,
        line=line,
        note=note,
    )
    entries = [
        post(lot=lots[int(part.key)], quantity=-part.quantity, cost=-part.cost) for part in parts
    ]
    if uncovered:
        cost = -replacement_cost(material, uncovered)
        entries.append(post(lot=lot, quantity=-uncovered, cost=cost, to_reconcile=True))
    if reason == Reason.DRAWN:
        now = told.recorded_at
        use_promises(entries=entries, material=material, holder=holder, line=line, now=now)
    mark_broken_promises(entries=entries, material=material, holder=holder)
    return entries


def _lots_on_shelf(material: Material, lot: Lot | None, holder: str) -> dict[int, Lot]:
    rows = Lot.objects.filter(material=material, remaining__gt=0)
    if lot is not None:
        rows = rows.filter(pk=lot.pk)
    elif material.is_piece:
        rows = _free_first(rows, holder)
    return {row.pk: row for row in rows}


def _free_first(pieces: QuerySet[Lot], holder: str) -> QuerySet[Lot]:
    """Sort the holder's own pieces first, then free ones, unfit ones, and those of others."""
    promises = Promise.objects.filter(lot=OuterRef("pk"), outstanding__gt=0)
    turn = Case(
        When(Exists(promises.filter(holder=holder)), then=0),
        When(Exists(promises), then=3),
        When(piece__state__in=SHELF_STATES, then=1),
        default=2,
    )
    return pieces.order_by(turn, "received_on", "pk")


def _take(
    material: Material, lots: dict[int, Lot], quantity: Decimal, unit: Decimal
) -> tuple[Sequence[Taken], Decimal]:
    """Return what is taken of each lot at the material's cost method, and what no lot covers."""
    layers = [Layer(str(pk), row.remaining, row.remaining_cost) for pk, row in lots.items()]
    taking = take_fifo(layers, quantity, unit)
    if material.cost_method != CostMethod.AVERAGE or not layers:
        return taking.taken, taking.uncovered
    whole = take_average(layers, quantity, unit).cost
    return _at_average(layers, taking.taken, whole), taking.uncovered


def _at_average(layers: list[Layer], taken: Sequence[Taken], whole: Decimal) -> list[Taken]:
    """Spread the average cost `whole` so that a used-up lot keeps no cost behind."""
    left = {layer.key: layer.quantity for layer in layers}
    used_up = [part for part in taken if part.quantity == left[part.key]]
    balance = whole - sum((part.cost for part in used_up), Decimal(0))
    rest = [part for part in taken if part not in used_up]
    if rest:
        return [*used_up, Taken(rest[0].key, rest[0].quantity, balance)]
    still_there = layers[len(used_up) :]
    if balance and still_there:
        return [*used_up, Taken(still_there[0].key, Decimal(0), balance)]
    return used_up
