"""What builds lack, by when it is needed, and by when to order it: sums by supplier and month."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.base.calc.units import from_base
from inventory.models import Material, Supplier
from shop.models import BuildLine
from shop.queue.queries.forecast import QueueAnswer

LATE_LEAD = 1.32
"""A lead time's late tenth, as a multiple of it: 1 + 0.25 × 1.28 (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueOrder:
    """A material that a stage needs: by when it is needed, and by when to order it.

    cost: at replacement prices, not rounded; None where the material has none.
    """

    line: BuildLine
    material: Material
    needed_by: date
    order_by: date
    late: bool
    cost: Decimal | None

    def month(self, on: date) -> date:
        """Return the first day of the month of its order, which is this one where it is late."""
        return max(self.order_by, on).replace(day=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierMonths:
    """What orders at one supplier come to, month by month. unpriced: orders without a price."""

    supplier: Supplier | None
    months: Sequence[Decimal]
    total: Decimal
    unpriced: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingSums:
    """Sums of orders by supplier and month; the last row adds all suppliers up."""

    months: Sequence[date]
    rows: Sequence[SupplierMonths]
    whole: SupplierMonths


def to_order(answer: QueueAnswer) -> list[DueOrder]:
    """Return what builds still lack, the soonest order first.

    Needed by the early tenth of its stage's start; ordered by that less the lead time's late tenth.
    """
    on = answer.books.on
    early = {
        stage.stage: stage.early for _, one in answer.rows for stage in one.stages if stage.stage
    }
    first = {build.pk: one.stages[0].early for build, one in answer.rows if one.stages}
    found = []
    for shortage in answer.books.shortages:
        line = shortage.line
        needed = early.get(line.stage_id or 0) or first.get(line.build_id)
        if needed is None or line.material is None or shortage.free >= shortage.missing:
            continue
        lead = round((line.material.lead_time or 0) * LATE_LEAD)
        order_by = needed - timedelta(days=lead)
        found.append(
            DueOrder(
                line=line,
                material=line.material,
                needed_by=needed,
                order_by=order_by,
                late=order_by < on,
                cost=_cost(line.material, shortage.missing - max(shortage.free, Decimal(0))),
            )
        )
    return sorted(found, key=lambda one: (one.order_by, one.line.pk))


def sums_of(orders: Iterable[DueOrder], on: date) -> BuyingSums:
    """Add up orders by supplier and by the month in which they are to be made."""
    orders = list(orders)
    months = sorted({one.month(on) for one in orders})
    suppliers = {one.material.supplier_id: one.material.supplier for one in orders}
    rows = [
        _row(supplier, months, [one for one in orders if one.material.supplier_id == key], on)
        for key, supplier in suppliers.items()
    ]
    rows.sort(key=lambda row: (row.supplier is None, f"{row.supplier}"))
    return BuyingSums(months=months, rows=rows, whole=_row(None, months, orders, on))


def _row(
    supplier: Supplier | None, months: Sequence[date], orders: Sequence[DueOrder], on: date
) -> SupplierMonths:
    sums = [
        sum((one.cost or Decimal(0) for one in orders if one.month(on) == month), Decimal(0))
        for month in months
    ]
    return SupplierMonths(
        supplier=supplier,
        months=sums,
        total=sum(sums, Decimal(0)),
        unpriced=sum(one.cost is None for one in orders),
    )


def _cost(material: Material, quantity: Decimal) -> Decimal | None:
    if material.replacement_price is None:
        return None
    return material.replacement_price * from_base(quantity, material.unit)
