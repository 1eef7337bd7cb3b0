"""Stock and its journal as plain tables, for the accountant and for twenty years from now."""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime, tzinfo
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from inventory.base.calc.units import from_base
from inventory.base.lists import Column, figure, of_field
from inventory.base.queries import home_minor_unit
from inventory.base.tables import PART, _fetched, _local, _money, _plain
from inventory.models import StockEntry
from inventory.shelf.queries.stock import stock_state
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
    for entry in _in_order(entries):
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


def _in_order(entries: QuerySet[StockEntry]) -> Iterator[StockEntry]:
    """Yield entries by their time, some thousand at once, each lot of them found by the index.

    One question for all would be answered whole by PostgreSQL before its first row is sent.
    """
    rows = entries.order_by("happened_at", "pk")
    part = list(rows[:PART])
    while part:
        yield from part
        last = part[-1]
        after = rows.filter(happened_at__gte=last.happened_at)
        after = after.exclude(happened_at=last.happened_at, pk__lte=last.pk)
        part = list(after[:PART]) if len(part) == PART else []


def _cost_of_one(row: Any) -> Any:
    return "" if row.cost_of_one is None else row.cost_of_one


def _quantity(name: str) -> Callable[[Any], str]:
    return lambda row: plain_decimal(from_base(getattr(row, name), row.unit))


STOCK_COLUMNS = [
    of_field("name", "Material", "name"),
    of_field("supplier", "Supplier", "supplier__name", beside=True),
    Column(
        key="on_hand",
        label="On hand",
        help="on-hand",
        order=("on_hand",),
        kind="qty",
        first="-",
        cell=_quantity("on_hand"),
    ),
    Column(
        key="reserved",
        label="Reserved",
        help="reserved",
        order=("promised",),
        kind="qty",
        first="-",
        cell=_quantity("promised"),
    ),
    Column(
        key="available",
        label="Available",
        help="available",
        order=("available",),
        kind="qty",
        cell=_quantity("free"),
    ),
    Column(key="unit", label="Unit", beside=True, cell=lambda row: row.unit_word),
    figure("cost", "Cost", "book_cost"),
    Column(key="cost_of_one", label="Cost of one", kind="num", beside=True, cell=_cost_of_one),
    figure("replacement", "Replacement price", "replacement_price"),
    of_field("checked", "Checked", "replacement_checked_on", beside=True),
    figure("realisable", "Realisable value", "realisable_price", beside=True),
    Column(key="state", label="Status", cell=lambda row: stock_state(row)[0]),
]
