"""Reversing stock entries: one, several, or all of what was done at once."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F, Sum

from inventory.base.calc.days import day_words
from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.fields import quantity_value
from inventory.ledger.locking import lock_materials
from inventory.ledger.queries import ALONE, can_be_reversed_alone, posting_group, reversed_together
from inventory.ledger.refusals import quantity_in_words
from inventory.ledger.services.context import PostingContext, posting_context
from inventory.ledger.services.issue import flag_overcommitted
from inventory.ledger.services.post import post_entry
from inventory.ledger.services.prices import take_back_lessons
from inventory.ledger.services.reserved import count_reserved
from inventory.models import Credit, Lot, Material, Order, OrderLine, Promise, Reason, StockEntry


@transaction.atomic
def post_reversals(
    *, entries: Sequence[StockEntry], now: datetime, why: str = "", user: Person | None = None
) -> list[StockEntry]:
    """Counter every one of `entries` in one act, the last first; the caller holds the locks.

    Raises Refusal when one has been corrected or had returns, brought in stock that has since been
    used, or took a piece that has turned up since.
    """
    posting = posting_context(now, None, user)
    newest_first = sorted(entries, key=lambda entry: entry.pk, reverse=True)
    counters = [_counter(entry, posting, why) for entry in newest_first]
    for entry in newest_first:
        _pass_on_the_rest(entry, posting)
    take_back_lessons(newest_first)
    return counters


def _counter(entry: StockEntry, posting: PostingContext, why: str) -> StockEntry:
    _check(entry)
    counter = post_entry(
        material=entry.material,
        lot=entry.lot,
        reason=Reason.CORRECTED,
        quantity=-entry.quantity,
        cost=-entry.cost,
        posting=posting,
        holder=entry.holder,
        line=entry.line,
        note=why,
        about=entry,
    )
    _give_back_promises(entry)
    _take_off_order(entry)
    if entry.to_reconcile and entry.reconciled_at is None:
        entry.reconciled_at = posting.recorded_at
        entry.save(update_fields=["reconciled_at"])
    return counter


def _check(entry: StockEntry) -> None:
    if entry.followed_by.exists():
        raise Refusal("This entry has already been reversed or returned: see the later entries.")
    if entry.lot_id is None:
        return
    lot = Lot.objects.get(pk=entry.lot_id)
    if entry.quantity > lot.remaining:
        raise Refusal(
            f"Some of {lot.number} has been used since. Count the material instead, or "
            "reverse the draw first."
        )
    if entry.material.is_piece and entry.quantity < 0 < lot.remaining:
        raise Refusal(f"{lot.number} is already back in stock: there is nothing left to reverse.")


def _pass_on_the_rest(entry: StockEntry, posting: PostingContext) -> None:
    """Leave no cost on a lot that is empty now: it belongs to whoever drew from it last."""
    empty = Lot.objects.filter(entries=entry.pk, remaining=0)
    lot = empty.exclude(remaining_cost=0).first()
    if lot is None:
        return
    last = lot.entries.filter(quantity__lt=0).exclude(reason=Reason.CORRECTED).first()
    post_entry(
        material=lot.material,
        lot=lot,
        reason=Reason.COST_MOVED,
        quantity=Decimal(0),
        cost=-lot.remaining_cost,
        posting=posting,
        holder=last.holder if last else "",
        note="cost left on an empty lot",
    )


def _give_back_promises(entry: StockEntry) -> None:
    for use in entry.promise_uses.select_related("promise"):
        promise = use.promise
        if promise.lot_id and _is_promised_elsewhere(promise):
            continue
        promise.outstanding += use.quantity
        promise.ended_at = None
        promise.save(update_fields=["outstanding", "ended_at"])
        count_reserved(promise.material_id)


def _is_promised_elsewhere(promise: Promise) -> bool:
    return (
        Promise.objects.filter(lot=promise.lot_id, outstanding__gt=0)
        .exclude(pk=promise.pk)
        .exists()
    )


def _take_off_order(entry: StockEntry) -> None:
    """What was booked in by mistake has still to come: its order is open again."""
    line = entry.lot.delivery_line if entry.lot else None
    if entry.reason != Reason.RECEIVED or line is None or line.order_line_id is None:
        return
    ordered = OrderLine.objects.filter(pk=line.order_line_id)
    ordered.update(received=F("received") - quantity_value(entry.quantity))
    closed_by_it = Order.objects.filter(lines=line.order_line_id)
    closed_by_it.filter(closed_on=line.delivery.received_on).update(closed_on=None)


@transaction.atomic
def reverse_groups(
    *, entries: Sequence[StockEntry], now: datetime, why: str = "undone", user: Person | None = None
) -> list[StockEntry]:
    """Counter `entries` and what was done at once with them: a whole cut, a whole make-up.

    Raises Refusal when a part of it has been corrected, used, promised or moved meanwhile, or when
    its credit was settled: then nothing is undone.
    """
    acts = [reversed_together(entry) for entry in entries]
    whole = list({entry.pk: entry for act in acts for entry in act}.values())
    before = lock_materials([entry.material for entry in whole])
    for act in acts:
        if any(entry.reason not in ALONE for entry in act):
            _check_act(act)
    counters = post_reversals(entries=whole, now=now, why=why, user=user)
    _check_promises(whole, before)
    return counters


def _check_act(act: list[StockEntry]) -> None:
    if any(entry.reason in {Reason.CORRECTED, Reason.USED} for entry in act):
        raise Refusal("This can't be reversed. Record what happened as a new entry instead.")
    if StockEntry.objects.filter(about__in=act).exists():
        raise Refusal("Some of it has already been reversed or returned: see the later entries.")
    settled = Credit.objects.select_for_update(of=("self",)).filter(entry__in=act)
    for credit in settled:
        if credit.settled_on:
            on = day_words(credit.settled_on)
            raise Refusal(
                f"{credit.supplier}'s credit for it was settled on {on}. Record what came back as "
                "a delivery instead."
            )
    for entry in act:
        if entry.lot and (entry.quantity > 0 or entry.cost > 0):
            _check_untouched(entry.lot, act)


def _check_untouched(lot: Lot, act: list[StockEntry]) -> None:
    """Refuse where something of the lot went, or its cost moved, after the act."""
    own = [entry.pk for entry in act]
    since = lot.entries.filter(pk__gt=own[0]).exclude(pk__in=own)
    moved = since.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
    if moved["quantity"] or moved["cost"]:
        raise Refusal(
            f"{lot.number} has later entries. Reverse those first, or count the material instead."
        )


def _check_promises(act: list[StockEntry], before: dict[int, Material]) -> None:
    """Refuse where stock that goes off the shelf again has been promised meanwhile."""
    gone = [entry.lot for entry in act if entry.lot and entry.quantity > 0]
    held = Promise.objects.filter(lot__in=gone, outstanding__gt=0).select_related("lot").first()
    if held and held.lot:
        raise Refusal(f"{held.lot.number} is reserved for {held.holder_name}: release it first.")
    meanwhile = Promise.objects.filter(outstanding__gt=0, made_at__gte=act[0].recorded_at)
    for material in Material.objects.filter(pk__in=before, promises__in=meanwhile).distinct():
        if material.free < 0 and material.free < before[material.pk].free:
            lacking = quantity_in_words(-material.free, material)
            raise Refusal(
                f"{material}: reservations would be short by {lacking}. Release a reservation "
                "first."
            )


@transaction.atomic
def reverse_entry(
    *, entry: StockEntry, now: datetime, why: str = "", user: Person | None = None
) -> StockEntry:
    """Post the opposite of `entry` and give back the promises it used up.

    Raises Refusal when the entry has been corrected or had returns, stands in one act with others,
    or brought in stock that has since been used.
    """
    material = lock_materials([entry.material])[entry.material_id]
    if not can_be_reversed_alone(posting_group(entry)):
        raise Refusal(
            f"An entry “{entry.get_reason_display()}” can't be reversed alone: reverse "
            "everything posted with it."
        )
    (counter,) = post_reversals(entries=[entry], now=now, why=why, user=user)
    if counter.quantity < 0:
        flag_overcommitted(entries=[counter], material=material)
    return counter
