"""Stock and its journal as plain tables, for the accountant and for twenty years from now."""

from collections.abc import Iterable, Iterator
from datetime import datetime, tzinfo
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from inventory.base.calc.units import from_base
from inventory.base.lists import Column
from inventory.base.queries import home_minor_unit
from inventory.base.tables import _fetched, _local, _money, _plain
from inventory.models import StockEntry
from inventory.shelf.queries.value import StockValue
from inventory.templatetags.figures import plain_decimal


def stock_table(rows: Iterable[StockValue]) -> list[dict[str, Any]]:
    """One row for each material held; money rounded to the minor unit, row by row."""
    minor_unit = home_minor_unit()
    return [
        {
            "family": row.material.family.name,
            "material": row.material.name,
            "quantity": _plain(from_base(row.quantity, row.material.unit)),
            "unit": row.material.unit,
            "cost": _money(row.cost, minor_unit),
            "realisable": _money(row.realisable, minor_unit),
            "lower of cost and realisable": _money(row.value, minor_unit),
            "replacement": _money(row.replacement, minor_unit),
        }
        for row in rows
    ]


def journal_table(
    first: datetime | None = None, last: datetime | None = None
) -> Iterator[dict[str, Any]]:
    """One row for each entry that happened from `first` to `last`, the oldest first."""
    entries = StockEntry.objects.select_related("material", "lot", "recorded_by", "sale")
    entries = entries.filter(happened_at__gte=first) if first else entries
    entries = entries.filter(happened_at__lte=last) if last else entries
    # What is sent bit by bit is read after the request has let go of its time zone.
    return _journal_rows(entries, timezone.get_current_timezone())


def _journal_rows(entries: QuerySet[StockEntry], zone: tzinfo) -> Iterator[dict[str, Any]]:
    for entry in entries.order_by("happened_at", "pk").iterator(chunk_size=5000):
        yield {
            "entry": entry.pk,
            "happened": _local(entry.happened_at, zone),
            "told": _local(entry.recorded_at, zone),
            "what": entry.get_reason_display(),
            "material": entry.material.name,
            "lot": entry.lot.number if entry.lot else "",
            "quantity": _plain(from_base(entry.quantity, entry.material.unit)),
            "unit": entry.material.unit,
            "cost": _plain(entry.cost),
            "fetched, net": _fetched(entry),
            "for": entry.holder,
            "note": entry.note,
            "about entry": entry.about_id or "",
            "to reconcile": "yes" if entry.to_reconcile and not entry.reconciled_at else "",
            "by": entry.recorded_by.get_username() if entry.recorded_by else "",
        }


def stock_state(row: Any) -> str:
    """Return the word for what needs doing about a row of the list, or an empty text."""
    if row.waits:
        return "to reconcile"
    if row.lost or row.free < 0:
        return "short"
    return "low" if row.reorder_level is not None and row.free < row.reorder_level else ""


def _cost_of_one(row: Any) -> Any:
    cost = row.cost_of_one
    return "" if cost is None else cost.quantize(Decimal("0.0001"))


STOCK_COLUMNS = [
    Column(key="name", label="Material", order=("name",), cell=lambda row: row.name),
    Column(
        key="supplier",
        label="Supplier",
        order=("supplier__name",),
        beside=True,
        cell=lambda row: row.supplier.name if row.supplier else "",
    ),
    Column(
        key="on_hand",
        help="on-hand",
        label="On hand",
        order=("on_hand",),
        kind="qty",
        first="-",
        cell=lambda row: plain_decimal(from_base(row.on_hand, row.unit)),
    ),
    Column(
        key="reserved",
        help="reserved",
        label="Reserved",
        order=("promised",),
        kind="qty",
        first="-",
        cell=lambda row: plain_decimal(from_base(row.promised, row.unit)),
    ),
    Column(
        key="available",
        help="available",
        label="Available",
        order=("available",),
        kind="qty",
        cell=lambda row: plain_decimal(from_base(row.free, row.unit)),
    ),
    Column(
        key="cost",
        label="Cost",
        order=("book_cost",),
        kind="num",
        first="-",
        cell=lambda row: row.book_cost,
    ),
    Column(key="cost_of_one", label="Cost of one", kind="num", beside=True, cell=_cost_of_one),
    Column(
        key="replacement",
        label="Replacement price",
        order=("replacement_price",),
        kind="num",
        first="-",
        cell=lambda row: row.replacement_price,
    ),
    Column(
        key="checked",
        label="Checked",
        order=("replacement_checked_on",),
        beside=True,
        cell=lambda row: row.replacement_checked_on or "",
    ),
    Column(
        key="realisable",
        label="Realisable value",
        order=("realisable_price",),
        beside=True,
        kind="num",
        first="-",
        cell=lambda row: row.realisable_price,
    ),
    Column(key="state", label="Status", cell=stock_state),
]
