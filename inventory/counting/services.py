"""Counts: started, recorded, revealed, closed; and a single lot counted."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Q, Sum
from django.utils import timezone

from inventory.base.calc.money import round_money
from inventory.base.calc.units import round_quantity
from inventory.base.people import Person
from inventory.base.queries import home_minor_unit, replacement_cost
from inventory.base.refusals import Refusal
from inventory.counting.queries import differences_of
from inventory.ledger.locking import lock_materials
from inventory.ledger.services.context import PostingContext, posting_context
from inventory.ledger.services.incoming import PieceFacts
from inventory.ledger.services.issue import issue_stock
from inventory.ledger.services.lots import make_lot
from inventory.ledger.services.post import post_entry
from inventory.models import (
    Count,
    CountLine,
    DifferenceReason,
    Lot,
    Material,
    Place,
    Reason,
    StockEntry,
)


@transaction.atomic
def count_stock(
    *,
    material: Material,
    counted: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    booked_at: datetime | None = None,
    lot: Lot | None = None,
    why: str = "",
    user: Person | None = None,
) -> list[StockEntry]:
    """Make the books agree with `counted` base units of `material`, or of `lot` alone.

    What came and went between `happened_at` and `now` is added to a count told late. A difference
    that is known to have been there at `booked_at` stands in the journal at that moment. Draws that
    waited to be reconciled are settled. Less than the books say is a count difference at its own
    cost; more comes in at the cost of the last lot, or at replacement price.
    """
    if counted < 0:
        raise Refusal("The count must be 0 or more.", field="counted")
    locked = lock_materials([material])[material.pk]
    _check_pieces(locked, lot, round_quantity(counted))
    posting = posting_context(now, booked_at or happened_at, user)
    there = round_quantity(counted) + _moved_since(locked, lot, happened_at)
    entries = _settle_shortfalls(locked, lot, posting)
    difference = max(there, Decimal(0)) - _in_the_books(locked, lot)
    if difference < 0:
        entries += issue_stock(
            material=locked,
            quantity=-difference,
            reason=Reason.COUNTED,
            posting=posting,
            lot=lot,
            note=why,
        )
    elif difference > 0:
        entries += _find(locked, lot, difference, posting, why)
    _leave_nothing_waiting(entries, posting)
    return entries


def _leave_nothing_waiting(entries: list[StockEntry], posting: PostingContext) -> None:
    """A difference that no lot can bear is settled all the same: this is the count."""
    for entry in entries:
        if entry.to_reconcile:
            entry.reconciled_at = posting.recorded_at
            entry.save(update_fields=["reconciled_at"])


def _moved_since(material: Material, lot: Lot | None, counted_at: datetime | None) -> Decimal:
    if counted_at is None:
        return Decimal(0)
    moved = material.entries.filter(happened_at__gt=counted_at)
    if lot is not None:
        moved = moved.filter(lot=lot)
    total: Decimal | None = moved.order_by().aggregate(quantity=Sum("quantity"))["quantity"]
    return total or Decimal(0)


def _settle_shortfalls(
    material: Material, lot: Lot | None, posting: PostingContext
) -> list[StockEntry]:
    """Bring what was drawn beyond the books back to nothing: it was there after all."""
    waiting = material.entries.filter(to_reconcile=True, reconciled_at=None)
    if lot is not None:
        waiting = waiting.filter(lot=lot)
    settled = []
    for own in {entry.lot for entry in waiting.select_related("lot")}:
        below, cost = _below_the_books(material, own)
        if below < 0:
            settled.append(
                post_entry(
                    material=material,
                    lot=own,
                    reason=Reason.COUNTED,
                    quantity=-below,
                    cost=-cost,
                    posting=posting,
                    note="drawn beyond recorded stock",
                )
            )
    waiting.update(reconciled_at=posting.recorded_at)
    return settled


def _below_the_books(material: Material, lot: Lot | None) -> tuple[Decimal, Decimal]:
    if lot is not None:
        return lot.remaining, lot.remaining_cost
    held = material.lots.aggregate(quantity=Sum("remaining"), cost=Sum("remaining_cost"))
    return (
        material.on_hand - (held["quantity"] or Decimal(0)),
        material.book_cost - (held["cost"] or Decimal(0)),
    )


def _in_the_books(material: Material, lot: Lot | None) -> Decimal:
    source = Lot.objects.get(pk=lot.pk) if lot else Material.objects.get(pk=material.pk)
    return source.remaining if isinstance(source, Lot) else source.on_hand


def _check_pieces(material: Material, lot: Lot | None, counted: Decimal) -> None:
    if material.is_piece and counted % 1:
        raise Refusal(f"{material} is kept as pieces: enter a whole number.", field="counted")
    if material.is_piece and lot is not None and counted > 1:
        raise Refusal(f"{lot.number} is one piece: enter 0 or 1.", field="counted")


def _find(
    material: Material, lot: Lot | None, quantity: Decimal, posting: PostingContext, why: str
) -> list[StockEntry]:
    """Book found stock into `lot`, the last lot, or a new one; each found piece is one of its own.

    A piece that turns up without a number is taken to be ready.
    """
    if material.is_piece and lot is None:
        homes = [_new_lot(material, posting) for _ in range(int(quantity))]
        return [_book(material, home, Decimal(1), posting, why) for home in homes]
    home = lot or material.lots.order_by("received_on", "pk").last()
    home = home or _new_lot(material, posting)
    return [_book(material, home, quantity, posting, why)]


def _new_lot(material: Material, posting: PostingContext) -> Lot:
    on = timezone.localtime(posting.happened_at).date()
    return make_lot(material=material, received_on=on, piece=PieceFacts(is_ready=True))


def _book(
    material: Material, home: Lot, quantity: Decimal, posting: PostingContext, why: str
) -> StockEntry:
    return post_entry(
        material=material,
        lot=home,
        reason=Reason.COUNTED,
        quantity=quantity,
        cost=_worth(material, home, quantity),
        posting=posting,
        note=why,
    )


def _worth(material: Material, lot: Lot, quantity: Decimal) -> Decimal:
    """Return what found stock costs: as the lot's first entry did, or at replacement price."""
    first = lot.entries.filter(quantity__gt=0).order_by("pk").first()
    if first:
        return round_money(first.cost * quantity / first.quantity, home_minor_unit())
    return replacement_cost(material, quantity)


@transaction.atomic
def start_count(
    *,
    name: str,
    now: datetime,
    frozen_at: datetime | None = None,
    place: Place | None = None,
    is_blind: bool = False,
) -> Count:
    """Keep what the books say of every lot there; what moves later does not disturb it.

    The books are frozen at `now`, or as they stood at `frozen_at`, such as the end of the year.
    Raises Refusal when there is nothing to count, or that moment is still to come.
    """
    if frozen_at is not None and frozen_at > now:
        raise Refusal("Choose a day that is over.", field="on")
    moved = _moved_since_of_start_count(frozen_at) if frozen_at else {}
    lots = Lot.objects.filter(~Q(remaining=0) | Q(pk__in=moved)).select_related("material")
    lots = lots.filter(place=place) if place else lots
    count = Count.objects.create(
        name=name, place=place, is_blind=is_blind, frozen_at=frozen_at or now, begun_at=now
    )
    lines = [
        CountLine(count=count, material=lot.material, lot=lot, expected=expected)
        for lot in lots
        if (expected := lot.remaining - moved.get(lot.pk, Decimal(0)))
    ]
    if not lines:
        raise Refusal(f"There is nothing {('at ' + place.name if place else 'in stock')} to count.")
    CountLine.objects.bulk_create(lines, batch_size=1000)
    return count


def _moved_since_of_start_count(moment: datetime) -> dict[int, Decimal]:
    """What came to or went from each lot since `moment`, by its key."""
    entries = StockEntry.objects.filter(happened_at__gt=moment, lot__isnull=False).order_by()
    return dict(entries.values_list("lot").annotate(Sum("quantity")))


@transaction.atomic
def record_count(
    *, line: CountLine, counted: Decimal | None, reason: str = "", note: str = ""
) -> CountLine:
    """Keep what was counted, in base units; None means not counted. Changes no balance yet.

    Raises Refusal once the count is closed, and for a count that can't be.
    """
    count = Count.objects.select_for_update().get(pk=line.count_id)
    if count.closed_at:
        raise Refusal("This count is closed. Count the material on its own page instead.")
    if counted is not None and counted < 0:
        raise Refusal("The count must be 0 or more.", field="counted")
    if counted is not None and line.material.is_piece and counted not in {0, 1}:
        raise Refusal(f"{line.lot.number} is one piece: enter 0 or 1.", field="counted")
    if reason and reason not in DifferenceReason.values:
        raise Refusal("Choose a reason for the difference.", field="reason")
    line.counted, line.reason, line.note = counted, reason, note
    line.save(update_fields=["counted", "reason", "note"])
    return line


@transaction.atomic
def reveal_count(*, count: Count) -> Count:
    """Let the books be seen; what was counted blind stays. Raises Refusal once it is closed."""
    fresh = Count.objects.select_for_update().get(pk=count.pk)
    if fresh.closed_at:
        raise Refusal("This count is already closed.")
    fresh.is_blind = False
    fresh.save(update_fields=["is_blind"])
    return fresh


@transaction.atomic
def close_count(*, count: Count, now: datetime, user: Person | None = None) -> list[StockEntry]:
    """Book what each counted lot differs by, on top of what has moved since the freeze.

    Differences stand in the journal at the freeze, so that the stock of that day is what was
    counted. Lots not counted stay as they are. Draws beyond the books of a material whose lots
    were all counted are settled. Raises Refusal when it is closed already.
    """
    fresh = Count.objects.select_for_update().get(pk=count.pk)
    if fresh.closed_at:
        raise Refusal("This count is already closed.")
    lines = list(fresh.lines.exclude(counted=None).select_related("material"))
    lock_materials([line.material for line in lines])
    lots = Lot.objects.in_bulk([line.lot_id for line in lines])
    waiting = StockEntry.objects.filter(lot__in=lots, to_reconcile=True, reconciled_at=None)
    to_settle = set(waiting.values_list("lot", flat=True))
    entries: list[StockEntry] = []
    for line, difference in differences_of(fresh, lines):
        if difference or line.lot_id in to_settle:
            entries += _settle(line, lots[line.lot_id], difference, fresh, now, user)
    for material in {line.material for line in lines}:
        entries += _settle_what_had_no_lot(fresh, material, now, user)
    fresh.closed_at = now
    fresh.save(update_fields=["closed_at"])
    return entries


def _settle(
    line: CountLine, lot: Lot, difference: Decimal, count: Count, now: datetime, user: Person | None
) -> list[StockEntry]:
    words = DifferenceReason(line.reason).label if line.reason else ""
    return count_stock(
        material=line.material,
        lot=lot,
        counted=max(lot.remaining + difference, Decimal(0)),
        why=": ".join(filter(None, (words, line.note))) or count.name,
        now=now,
        booked_at=count.frozen_at,
        user=user,
    )


def _settle_what_had_no_lot(
    count: Count, material: Material, now: datetime, user: Person | None
) -> list[StockEntry]:
    """Settle draws that named no lot, once every lot of the material has been counted."""
    waiting = material.entries.filter(lot=None, to_reconcile=True, reconciled_at=None)
    uncounted = material.lots.exclude(remaining=0).exclude(count_lines__in=count.lines.all())
    if not waiting.exists() or uncounted.exists():
        return []
    held = material.lots.aggregate(quantity=Sum("remaining"))["quantity"]
    return count_stock(material=material, counted=max(held, held * 0), now=now, user=user)
