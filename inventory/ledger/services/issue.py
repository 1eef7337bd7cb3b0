"""Issuing stock at its cost, and what that does to reservations. The caller holds the lock."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from functools import partial

from django.db import transaction
from django.db.models import Case, Exists, OuterRef, QuerySet, Sum, When

from inventory.base.queries import home_minor_unit, replacement_cost
from inventory.ledger.calc.valuation import Layer, Taken, take_average, take_fifo
from inventory.ledger.locking import lock_materials
from inventory.ledger.services.context import PostingContext, posting_context
from inventory.ledger.services.post import post_entry
from inventory.ledger.services.reserved import count_reserved
from inventory.models import (
    HOLDS_STOCK,
    SHELF_STATES,
    VERDICTS,
    CostMethod,
    Lot,
    Material,
    PieceState,
    Promise,
    PromiseUse,
    Reason,
    StockEntry,
)


@transaction.atomic
def issue_stock(
    *,
    material: Material,
    quantity: Decimal,
    reason: Reason,
    posting: PostingContext,
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
    minor_unit = home_minor_unit()
    lots = _lots_on_shelf(material, lot, holder)
    parts, uncovered = _take(material, lots, quantity, minor_unit)
    post = partial(
        post_entry,
        material=material,
        reason=reason,
        posting=posting,
        holder=holder,
        line=line,
        note=note,
    )
    entries = [
        post(lot=lots[int(part.key)], quantity=-part.quantity, cost=-part.cost) for part in parts
    ]
    # A fact is always recordable: who holds the wood in hand can't be told that it isn't there.
    if uncovered:
        cost = -replacement_cost(material, uncovered)
        entries.append(post(lot=lot, quantity=-uncovered, cost=cost, to_reconcile=True))
    if reason == Reason.DRAWN:
        now = posting.recorded_at
        consume_reservations(entries=entries, material=material, holder=holder, line=line, now=now)
    flag_overcommitted(entries=entries, material=material, holder=holder)
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
    promises = Promise.objects.filter(HOLDS_STOCK, lot=OuterRef("pk"))
    turn = Case(
        When(Exists(promises.filter(holder=holder)), then=0),
        When(Exists(promises), then=3),
        When(piece__state__in=SHELF_STATES, then=1),
        default=2,
    )
    return pieces.order_by(turn, "received_on", "pk")


def _take(
    material: Material, lots: dict[int, Lot], quantity: Decimal, minor_unit: Decimal
) -> tuple[Sequence[Taken], Decimal]:
    """Return what is taken of each lot at the material's cost method, and what no lot covers."""
    layers = [Layer(str(pk), row.remaining, row.remaining_cost) for pk, row in lots.items()]
    taking = take_fifo(layers, quantity, minor_unit)
    if material.cost_method != CostMethod.AVERAGE or not layers:
        return taking.taken, taking.uncovered
    whole = take_average(layers, quantity, minor_unit).cost
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


@transaction.atomic
def consume_reservations(
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
    promise.outstanding -= used
    promise.ended_at = None if promise.outstanding else now
    promise.save(update_fields=["outstanding", "ended_at"])
    count_reserved(promise.material_id)


@transaction.atomic
def flag_overcommitted(
    *, entries: Sequence[StockEntry], material: Material, holder: str = ""
) -> None:
    """Set `to_reconcile` on those of `entries` that broke a promise to another than `holder`.

    A promised piece is broken by whatever takes that piece, or calls it unfit; a promised quantity
    once what is left is less than others are still held, unless the books lacked some anyway. The
    caller holds the lock.
    """
    others = Promise.objects.filter(material=material, outstanding__gt=0)
    others = others.exclude(holder=holder) if holder else others
    pieces = set(others.filter(lot__isnull=False).values_list("lot_id", flat=True))
    owed = others.filter(HOLDS_STOCK).aggregate(total=Sum("outstanding"))["total"] or Decimal(0)
    if not owed and not pieces:
        return
    fresh = Material.objects.get(pk=material.pk)
    lacking = owed - (fresh.on_hand - fresh.unfit)
    # The books lacked some before this act; what they lack now is no news about others' stock.
    if any(entry.to_reconcile for entry in entries):
        lacking = Decimal(0)
    # The last taken are the ones that reach into what others were promised.
    for entry in reversed(entries):
        beyond = max(min(lacking, _taken_from_others(entry)), Decimal(0))
        if entry.lot_id in pieces or beyond > 0:
            entry.to_reconcile = True
            entry.save(update_fields=["to_reconcile"])
            lacking -= beyond


def _taken_from_others(entry: StockEntry) -> Decimal:
    """What `entry` took off the shelf beyond what its own holder had been promised."""
    used: Decimal | None = entry.promise_uses.aggregate(total=Sum("quantity"))["total"]
    taken = Decimal(1) if entry.reason in VERDICTS else -entry.quantity
    return taken - (used or Decimal(0))


@transaction.atomic
def transfer_reservations(
    *,
    holder: str,
    to: str,
    to_name: str,
    lines: Mapping[str, str],
    until: date | None = None,
) -> int:
    """Give every open promise of `holder` to the holder `to`; return how many there were.

    `lines` gives the new key of each line; a line that is not in it keeps its own. Quantities and
    pieces stay as they are.
    """
    promises = list(
        Promise.objects.filter(holder=holder, outstanding__gt=0).select_related("material")
    )
    lock_materials([promise.material for promise in promises])
    for promise in promises:
        promise.holder, promise.holder_name, promise.until = to, to_name, until
        promise.line = lines.get(promise.line, promise.line)
        promise.save(update_fields=["holder", "holder_name", "until", "line"])
    return len(promises)


@transaction.atomic
def mark_consumed(*, holder: str, now: datetime) -> list[StockEntry]:
    """Note of every piece that `holder` drew last and did not bring back that it was used."""
    drawn = StockEntry.objects.filter(holder=holder, reason=Reason.DRAWN, followed_by=None)
    lots = Lot.objects.filter(piece__gone=PieceState.DRAWN, entries__in=drawn).distinct()
    lots = lots.select_related("material").order_by("pk")
    lock_materials([lot.material for lot in lots])
    return [
        post_entry(
            material=lot.material,
            lot=lot,
            reason=Reason.USED,
            quantity=Decimal(0),
            cost=Decimal(0),
            posting=posting_context(now),
            holder=holder,
        )
        for lot in lots
    ]
