"""The shelf at a glance: what there is of each material, what is short, what expires."""

from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from inventory.base.queries import oldest_fresh_day, stock_rules
from inventory.ledger.calc.numbers import parse_piece_number
from inventory.models import HOLDS_STOCK, Family, Lot, Material, Promise, StockEntry

ONLY = {
    "waiting": "to reconcile",
    "short": "short or low",
    "price": "price to check",
    "archived": "archived",
}
SHOWN = (
    "name",
    "family__name",
    "unit",
    "on_hand",
    "unfit",
    "supplier__name",
    "promised",
    "book_cost",
    "reorder_level",
    "replacement_price",
    "replacement_checked_on",
    "realisable_price",
)
"""What a line of the shelf is made from; the rest of a material is not read for it."""


def waiting_entries() -> QuerySet[StockEntry]:
    """Entries that say what the books did not have, until a count settles them."""
    return StockEntry.objects.filter(to_reconcile=True, reconciled_at=None)


def stock_list(
    *, today: date, search: str = "", family: Family | None = None, only: str = ""
) -> QuerySet[Material]:
    """Materials by name with their family, each with `waits`: whether it needs a count.

    Each has `lost` too: whether a piece that somebody was promised has gone or is unfit.
    Every word of `search` has to be in the name. `only` is a key of `ONLY`, or empty.
    """
    waits = waiting_entries().filter(material=OuterRef("pk"))
    rows = Material.objects.filter(is_archived=only == "archived")
    for word in search.split():
        rows = rows.filter(name__icontains=word)
    if family is not None:
        rows = rows.filter(family=family)
    if only == "waiting":
        rows = rows.filter(pk__in=waiting_entries().values("material"))
    elif only == "short":
        rows = rows.filter(is_short())
    elif only == "price":
        rows = rows.filter(has_old_price(today))
    lost = lost_promises().filter(material=OuterRef("pk"))
    rows = rows.select_related("family", "supplier").annotate(
        waits=Exists(waits), lost=Exists(lost), available=F("on_hand") - F("unfit") - F("promised")
    )
    return rows.only(*SHOWN).order_by("name")


def stock_state(row: Any) -> tuple[str, str]:
    """Return word and shape for what needs doing about a row of `stock_list`, or neither."""
    if row.waits:
        return "to reconcile", "hand"
    if row.lost or row.free < 0:
        return "short", "hand"
    is_low = row.reorder_level is not None and row.fit < row.reorder_level
    return ("low", "half") if is_low else ("", "")


def is_short() -> Q:
    """Materials promised beyond what there is, or fit for use below the level to buy more at."""
    fit = F("on_hand") - F("unfit")
    lost = Q(pk__in=lost_promises().values("material"))
    return lost | Q(promised__gt=fit) | Q(reorder_level__gt=fit)


def lost_promises() -> QuerySet[Promise]:
    """Open promises of pieces that have gone or are no longer fit."""
    return Promise.objects.filter(~HOLDS_STOCK, outstanding__gt=0)


def has_old_price(today: date) -> Q:
    """Materials whose replacement price is unknown or was checked too long ago."""
    fresh = Q(replacement_price__isnull=False, replacement_checked_on__gte=oldest_fresh_day(today))
    return ~fresh


def materials_waiting() -> int:
    """How many materials have entries that wait for a count."""
    return waiting_entries().values("material").distinct().count()


def lots_numbered(typed: str) -> list[Lot]:
    """Lots and pieces whose number may be what was `typed`, such as `412` or `t 412`."""
    number = parse_piece_number(typed)
    if number is None:
        return []
    return list(Lot.objects.filter(number__in=number.written).select_related("material")[:10])


def materials_named(typed: str, limit: int = 20) -> QuerySet[Material]:
    """Materials in use whose name has every word of `typed`, the first `limit` by name."""
    rows = Material.objects.filter(is_archived=False)
    for word in typed.split():
        rows = rows.filter(name__icontains=word)
    return rows.order_by("name")[:limit]


def expiry_of(material: Material, received_on: date, printed: date | None) -> date | None:
    """Return the day printed on the pack, or that after which this material no longer keeps."""
    if printed or material.shelf_days is None:
        return printed
    return received_on + timedelta(days=material.shelf_days)


def expiring(today: date) -> list[Lot]:
    """Lots with something left that expire within the days of warning, or have; soonest first."""
    until = today + timedelta(days=stock_rules().warn_days)
    rows = Lot.objects.filter(remaining__gt=0, expires_on__lte=until)
    return list(rows.select_related("material", "place").order_by("expires_on", "number"))


def openable() -> list[Lot]:
    """Unopened lots of materials that keep only so long once opened, oldest first."""
    rows = Lot.objects.filter(remaining__gt=0, opened_on=None, material__open_days__isnull=False)
    return list(rows.select_related("material", "place").order_by("received_on", "number"))
