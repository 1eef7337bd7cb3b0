"""Deliveries booked in at landed cost, sent back, and credited."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.base.calc.days import day_words
from inventory.base.calc.money import round_money
from inventory.base.calc.units import from_base
from inventory.base.people import Person
from inventory.base.queries import begin_of, home_minor_unit
from inventory.base.refusals import Refusal, check_happened
from inventory.fields import quantity_value
from inventory.ledger.calc.landed import respread_after_return, split_cost
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_quantity
from inventory.ledger.services.context import PostingContext, posting_context
from inventory.ledger.services.incoming import Charges, NewLine, land_lines, lines_in_home_money
from inventory.ledger.services.issue import flag_overcommitted
from inventory.ledger.services.lots import make_lot
from inventory.ledger.services.post import post_entry
from inventory.models import (
    Credit,
    Delivery,
    DeliveryLine,
    Lot,
    Order,
    OrderLine,
    PriceKind,
    PriceNote,
    Reason,
    ShareBy,
    StockEntry,
    Supplier,
)
from inventory.purchasing.bookkeeping import learn_from
from inventory.purchasing.queries.lessons import lessons_of
from inventory.shelf.queries.stock import expiry_of


@transaction.atomic
def receive_delivery(
    *,
    received_on: date,
    lines: Sequence[NewLine],
    now: datetime,
    supplier: Supplier | None = None,
    carriage: Decimal = Decimal(0),
    duty: Decimal = Decimal(0),
    tax: Decimal = Decimal(0),
    share_by: str = ShareBy.VALUE,
    currency: str = "",
    rate: Decimal | None = None,
    reference: str = "",
    note: str = "",
    teaches: bool = False,
    user: Person | None = None,
) -> Delivery:
    """Record what came in; carriage and duty are shared over the lines, reclaimable `tax` is not.

    With a `currency`, prices and carriage are in it and turn into home money at `rate`. Each
    line's landed cost goes to one lot, or is cut over its pieces to the minor unit. What is booked
    in days later stands in the journal on the day that it came. Where it `teaches`, its materials
    take on replacement price, supplier, lead time and pack size from it.
    Raises Refusal for an empty delivery, or for charges that can't be shared as asked.
    """
    if not lines:
        raise Refusal("A delivery needs at least one line.", field="lines")
    check_happened(received_on, now, "received_on")
    lock_materials([line.material for line in lines])
    minor_unit = home_minor_unit()
    asked = Charges(
        carriage=carriage, duty=duty, tax=tax, share_by=share_by, currency=currency, rate=rate
    )
    own, charges = lines_in_home_money(lines, asked, minor_unit)
    delivery = Delivery.objects.create(
        supplier=supplier,
        received_on=received_on,
        reference=reference,
        carriage=charges.carriage,
        foreign_carriage=carriage if currency else None,
        duty=duty,
        tax=tax,
        share_by=share_by,
        currency=currency,
        rate=rate if currency else None,
        note=note,
    )
    posting = posting_context(now, _happened_at(received_on, now), user)
    landed = list(zip(own, land_lines(own, charges, minor_unit), strict=True))
    booked = [_book_line(delivery, line, share.cost, minor_unit, posting) for line, share in landed]
    if teaches:
        learn_from(lessons_of(landed, supplier, received_on), booked, received_on)
    _follow_orders(own, received_on)
    return delivery


def _happened_at(received_on: date, now: datetime) -> datetime:
    """Return the first instant of a past day: it was there for whatever was done that day."""
    return begin_of(received_on) if received_on < timezone.localtime(now).date() else now


def _book_line(
    delivery: Delivery, line: NewLine, cost: Decimal, minor_unit: Decimal, posting: PostingContext
) -> DeliveryLine:
    quantity = check_quantity(line.material, line.quantity)
    row = DeliveryLine.objects.create(
        delivery=delivery,
        material=line.material,
        quantity=quantity,
        price=line.price,
        foreign_price=line.foreign_price,
        mass_g=line.mass_g,
        landed_cost=cost,
        order_line=line.order_line,
    )
    parts = [(quantity, cost)]
    if line.material.is_piece:
        parts = [(Decimal(1), share) for share in split_cost(cost, int(quantity), minor_unit)]
    for position, (amount, share) in enumerate(parts):
        post_entry(
            material=line.material,
            lot=_lot_of(row, line, position),
            reason=Reason.RECEIVED,
            quantity=amount,
            cost=share,
            posting=posting,
        )
    _note_what_was_paid(row)
    return row


def _lot_of(row: DeliveryLine, line: NewLine, position: int) -> Lot:
    delivery = row.delivery
    return make_lot(
        material=line.material,
        received_on=delivery.received_on,
        supplier=delivery.supplier,
        delivery_line=row,
        place=line.place,
        expires_on=expiry_of(line.material, delivery.received_on, line.expires_on),
        note=line.note,
        piece=line.pieces[position] if position < len(line.pieces) else None,
    )


def _note_what_was_paid(line: DeliveryLine) -> None:
    each = line.landed_cost / from_base(line.quantity, line.material.unit)
    PriceNote.objects.create(
        material=line.material,
        supplier=line.delivery.supplier,
        noted_on=line.delivery.received_on,
        price=each.quantize(Decimal("0.0001")),
        kind=PriceKind.PAID,
        delivery_line=line,
    )


def _follow_orders(lines: Sequence[NewLine], on: date) -> None:
    """Note on the order lines what has come; an order of which all has come is closed."""
    named = [line for line in lines if line.order_line]
    for line in named:
        OrderLine.objects.filter(pk=line.order_line.pk).update(  # type: ignore[union-attr]
            received=F("received") + quantity_value(line.quantity)
        )
    keys = {line.order_line.order_id for line in named if line.order_line}
    still_open = OrderLine.objects.filter(received__lt=F("quantity")).values("order")
    Order.objects.filter(pk__in=keys, closed_on=None).exclude(pk__in=still_open).update(
        closed_on=on
    )


@transaction.atomic
def return_to_supplier(
    *,
    lot: Lot,
    quantity: Decimal,
    credit: Decimal,
    now: datetime,
    why: str = "",
    user: Person | None = None,
) -> StockEntry:
    """Take `quantity` of `lot` off the shelf for `credit`, what the supplier gives for it.

    What is not credited, such as carriage, stays on the stock kept of the same delivery line; when
    none is kept it is a loss of its own. Raises Refusal beyond what the lot still holds.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    quantity = check_quantity(material, quantity)
    if quantity > lot.remaining:
        raise Refusal(f"{lot.number} has less than that left to send back.", field="quantity")
    posting = posting_context(now, None, user)
    entry = post_entry(
        material=material,
        lot=lot,
        reason=Reason.SENT_BACK,
        quantity=-quantity,
        cost=-credit,
        posting=posting,
        note=why,
    )
    flag_overcommitted(entries=[entry], material=material)
    if lot.supplier and credit:
        Credit.objects.create(
            supplier=lot.supplier,
            entry=entry,
            amount=credit,
            given_on=timezone.localtime(now).date(),
            note=why[:200],
        )
    if quantity == lot.remaining:
        _leave_the_rest_to_sisters(lot, credit, posting)
    return entry


def _leave_the_rest_to_sisters(lot: Lot, credit: Decimal, posting: PostingContext) -> None:
    """Move the cost that `lot` leaves behind onto what is kept of its delivery line."""
    sisters = list(
        Lot.objects.filter(delivery_line=lot.delivery_line, remaining__gt=0).exclude(pk=lot.pk)
        if lot.delivery_line_id
        else []
    )
    whole = lot.remaining_cost + sum((sister.remaining_cost for sister in sisters), Decimal(0))
    spread = respread_after_return(whole, credit, len(sisters), home_minor_unit())
    rest = lot.remaining_cost - credit
    if not rest:
        return
    _move_cost(lot, -rest, posting, "not credited")
    for sister, cost in zip(sisters, spread.costs, strict=True):
        _move_cost(sister, cost - sister.remaining_cost, posting, f"from {lot.number}")


def _move_cost(lot: Lot, amount: Decimal, posting: PostingContext, note: str) -> None:
    if amount:
        post_entry(
            material=lot.material,
            lot=lot,
            reason=Reason.COST_MOVED,
            quantity=Decimal(0),
            cost=round_money(amount, home_minor_unit()),
            posting=posting,
            note=note,
        )


@transaction.atomic
def settle_credit(*, credit: Credit, on: date, note: str = "") -> Credit:
    """Stamp the day on `credit`. Raises Refusal when it is settled, or its return was undone."""
    fresh = Credit.objects.select_for_update().get(pk=credit.pk)
    if fresh.settled_on:
        raise Refusal(f"This credit was settled on {day_words(fresh.settled_on)}.")
    if fresh.entry.followed_by.filter(reason=Reason.CORRECTED).exists():
        raise Refusal("The return to the supplier was reversed, so no credit is due.")
    fresh.settled_on, fresh.note = on, note or fresh.note
    fresh.save(update_fields=["settled_on", "note"])
    return fresh
