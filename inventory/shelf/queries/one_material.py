"""One material, one lot: where they lie, to whom they are promised, what happened to them."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet, Sum

from inventory.models import HOLDS_STOCK, Lot, Material, Promise, StockEntry
from inventory.shelf.queries.traces import fill_holder_names, with_holder_names

JOURNAL_PAGE = 20
LOTS_SHOWN = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalPage:
    """Some entries, the newest first, and the key to ask for those before them."""

    entries: list[StockEntry]
    before: int | None


def lots_of(material: Material, *, used_up: bool = False) -> list[Lot]:
    """Lots with something left or owing, oldest first, with piece, place and open promise.

    With `used_up` the empty ones instead, the newest first.
    """
    rows = Lot.objects.filter(material=material).select_related("piece", "place", "supplier")
    rows = rows.filter(remaining=0).reverse() if used_up else rows.exclude(remaining=0)
    lots = list(rows[:LOTS_SHOWN])
    promised = {promise.lot_id: promise for promise in _open_promises(material)}
    for lot in lots:
        lot.open_promise = promised.get(lot.pk)  # type: ignore[attr-defined]
    return lots


def promises_of(material: Material) -> list[Promise]:
    """Open promises of `material`, the oldest first, with their lot and whether each `holds`."""
    holds = ExpressionWrapper(HOLDS_STOCK, output_field=BooleanField())
    return list(_open_promises(material).select_related("lot__piece").annotate(holds=holds))


def open_promise_of(lot: Lot) -> Promise | None:
    """The promise that holds the piece `lot`, if any."""
    return lot.promises.filter(outstanding__gt=0).first()


def holders() -> list[tuple[str, str]]:
    """Key and name of everyone who has a promise open, by name."""
    rows = Promise.objects.filter(outstanding__gt=0).order_by("holder_name", "holder")
    return list(rows.values_list("holder", "holder_name").distinct())


def journal(
    *,
    material: Material,
    lot: Lot | None = None,
    before: int | None = None,
    limit: int = JOURNAL_PAGE,
) -> JournalPage:
    """A page of the journal of `material`, or of one of its lots, below the entry `before`.

    Costs the same however far back it goes. Each entry knows its lot, who told it, and what it
    is about.
    """
    rows = with_holder_names(StockEntry.objects.filter(material=material))
    if lot is not None:
        rows = rows.filter(lot=lot)
    if before is not None:
        rows = _earlier_than(rows, before)
    rows = rows.select_related("lot", "recorded_by", "about", "sale")
    rows = rows.prefetch_related("followed_by")
    entries = list(rows.order_by("-happened_at", "-pk")[: limit + 1])
    more = len(entries) > limit
    fill_holder_names(entries)
    return JournalPage(entries=entries[:limit], before=entries[limit - 1].pk if more else None)


def _earlier_than(rows: QuerySet[StockEntry], key: int) -> QuerySet[StockEntry]:
    mark = StockEntry.objects.filter(pk=key).values_list("happened_at", flat=True).first()
    if mark is None:
        return rows
    return rows.filter(Q(happened_at__lt=mark) | Q(happened_at=mark, pk__lt=key))


def _open_promises(material: Material) -> QuerySet[Promise]:
    return Promise.objects.filter(material=material, outstanding__gt=0)


def still_out(entry: StockEntry) -> Decimal:
    """How much of a draw, in base units, has neither come back nor been corrected."""
    back = entry.followed_by.aggregate(quantity=Sum("quantity"))["quantity"] or Decimal(0)
    return max(-entry.quantity - back, Decimal(0))
