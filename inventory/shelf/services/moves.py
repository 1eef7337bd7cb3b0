"""What happens to stock at the bench: drawn, returned, scrapped, opened, expired."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.base.calc.days import day_words
from inventory.base.calc.money import round_money
from inventory.base.people import Person
from inventory.base.queries import home_minor_unit
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_quantity, quantity_in_words
from inventory.ledger.services.context import posting_context
from inventory.ledger.services.issue import issue_stock
from inventory.ledger.services.post import post_entry
from inventory.models import Lot, Material, Reason, StockEntry


@transaction.atomic
def draw_stock(
    *,
    material: Material,
    quantity: Decimal,
    holder: str,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    line: str = "",
    note: str = "",
    user: Person | None = None,
) -> list[StockEntry]:
    """Take `quantity` (base units) for `holder`, using up its promises first.

    Never refuses for lack of stock: what the books don't have, and a piece that is promised to
    somebody else, is drawn and marked to be reconciled.
    """
    locked = lock_materials([material])[material.pk]
    return issue_stock(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.DRAWN,
        posting=posting_context(now, happened_at, user),
        lot=lot,
        holder=holder,
        line=line,
        note=note,
    )


@transaction.atomic
def return_stock(
    *,
    entry: StockEntry,
    quantity: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    user: Person | None = None,
) -> StockEntry:
    """Put `quantity` of a draw back into its lot, at the cost it was drawn at.

    Returns in parts cut the draw's cost by running totals, so that they add up to it.
    """
    material = lock_materials([entry.material])[entry.material_id]
    quantity = check_quantity(material, quantity)
    back, cost_back = _back_so_far(entry)
    drawn = -entry.quantity
    if entry.reason != Reason.DRAWN or back + quantity > drawn:
        still_out = quantity_in_words(max(drawn - back, Decimal(0)), material)
        raise Refusal(
            f"You can only return what is still out: {still_out} of this draw.",
            field="quantity",
        )
    due = round_money(-entry.cost * (back + quantity) / drawn, home_minor_unit())
    return post_entry(
        material=material,
        lot=entry.lot,
        reason=Reason.RETURNED,
        quantity=quantity,
        cost=due - cost_back,
        posting=posting_context(now, happened_at, user),
        holder=entry.holder,
        line=entry.line,
        about=entry,
    )


def _back_so_far(entry: StockEntry) -> tuple[Decimal, Decimal]:
    sums = entry.followed_by.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
    return sums["quantity"] or Decimal(0), sums["cost"] or Decimal(0)


@transaction.atomic
def scrap_stock(
    *,
    material: Material,
    quantity: Decimal,
    why: str,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    holder: str = "",
    user: Person | None = None,
) -> list[StockEntry]:
    """Take `quantity` off the shelf as lost, for `holder`'s account when one is named.

    What was drawn for a build and spoilt there is no longer on the shelf: draw its replacement.
    """
    if not why.strip():
        raise Refusal("Enter the reason for scrapping it.", field="why")
    locked = lock_materials([material])[material.pk]
    return issue_stock(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.SCRAPPED,
        posting=posting_context(now, happened_at, user),
        lot=lot,
        holder=holder,
        note=why,
    )


@transaction.atomic
def expire_lot(
    *, lot: Lot, now: datetime, why: str = "", user: Person | None = None
) -> list[StockEntry]:
    """Take what is left of `lot` to nil, with its cost; `why` is *expired* unless said otherwise.

    Raises Refusal when nothing is left of it.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    if lot.remaining <= 0:
        raise Refusal(f"Nothing is left of {lot.number}.")
    said = why.strip() or _expired(lot, timezone.localtime(now).date())
    return scrap_stock(
        material=material, quantity=lot.remaining, lot=lot, why=said, now=now, user=user
    )


def _expired(lot: Lot, on: date) -> str:
    if lot.expires_on is None:
        return "expired"
    words = "expired" if lot.expires_on <= on else "written off before expiry on"
    return f"{words} {lot.expires_on.day} {lot.expires_on:%b %Y}"


@transaction.atomic
def open_pack(*, lot: Lot, on: date) -> Lot:
    """Note that `lot` was opened; it expires when opened stock of its material does, if sooner.

    Raises Refusal when it is open already or nothing is left of it.
    """
    fresh = Lot.objects.select_for_update(of=("self",)).select_related("material").get(pk=lot.pk)
    if fresh.opened_on:
        raise Refusal(f"{fresh.number} was opened on {day_words(fresh.opened_on)}.")
    if fresh.remaining <= 0:
        raise Refusal(f"Nothing is left of {fresh.number}.")
    fresh.opened_on = on
    if fresh.material.open_days is not None:
        opened_life = on + timedelta(days=fresh.material.open_days)
        fresh.expires_on = min(fresh.expires_on or opened_life, opened_life)
    fresh.save(update_fields=["opened_on", "expires_on"])
    return fresh
