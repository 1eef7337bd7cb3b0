"""Order sheets: what stands on them, what has come, what is owed back."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from dateutil.relativedelta import relativedelta
from django.db.models import Count, F, Q, QuerySet, Sum

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.units import from_base
from inventory.models import Credit, Material, Order, OrderLine, Reason, StockEntry, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPaperLine:
    """One line as printed: `amount` rounded to the minor unit of the order's money."""

    words: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPaper:
    """An order sheet as it is printed; `total` is the sum of the shown lines.

    `country` is the shop's own, ISO 3166.
    """

    number: str
    on: date
    is_sent: bool
    currency: str
    country: str
    ours: str
    our_address: str
    theirs: str
    note: str
    lines: tuple[OrderPaperLine, ...]

    @property
    def total(self) -> Decimal:
        return sum((line.amount for line in self.lines), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """So much of a material, in base units, that was ordered and is expected about a day."""

    order: Order
    quantity: Decimal
    expected_on: date


def orders() -> QuerySet[Order]:
    """Orders, the latest first, with the number of their lines and of those still open."""
    open_lines = Count("lines", filter=Q(lines__received__lt=F("lines__quantity")))
    rows = Order.objects.select_related("supplier")
    rows = rows.annotate(line_count=Count("lines"), open_count=open_lines)
    return rows.order_by("-made_on", "-pk")


def order_state(row: Any) -> tuple[str, str]:
    """Return the word and the shape for where a row of `orders` stands."""
    if row.closed_on:
        return "closed", "full"
    if not row.sent_on:
        return "draft", "ring"
    return ("sent", "diamond") if row.open_count == row.line_count else ("part received", "half")


def open_lines(order: Order) -> list[OrderLine]:
    """Lines of `order` of which something has still to come."""
    rows = order.lines.filter(received__lt=F("quantity"))
    return list(rows.select_related("material"))


def coming(material: Material) -> list[Coming]:
    """What is ordered of `material`: on sheets that were sent and not here yet, first due first."""
    lines = OrderLine.objects.filter(
        material=material,
        order__sent_on__isnull=False,
        order__closed_on=None,
        received__lt=F("quantity"),
    ).select_related("order__supplier")
    lead = material.lead_time
    found = [
        Coming(
            order=line.order,
            quantity=line.quantity - line.received,
            expected_on=line.order.sent_on + timedelta(days=lead or 0),
        )
        for line in lines
        if line.order.sent_on
    ]
    return sorted(found, key=lambda one: one.expected_on)


def order_paper(order: Order) -> OrderPaper:
    """What stands on the sheet of `order`."""
    shop = Workshop.objects.first()
    minor_unit = minor_unit_of(order.currency)
    return OrderPaper(
        number=order.number,
        on=order.sent_on or order.made_on,
        is_sent=order.sent_on is not None,
        currency=order.currency,
        country=shop.country if shop else "",
        ours=shop.name if shop else "",
        our_address="\n".join(filter(None, (shop.address, shop.email, shop.phone))) if shop else "",
        theirs="\n".join(filter(None, (order.supplier.name, order.supplier.contact))),
        note=order.note,
        lines=tuple(
            _paper_line(line, minor_unit) for line in order.lines.select_related("material")
        ),
    )


def _paper_line(line: OrderLine, minor_unit: Decimal) -> OrderPaperLine:
    shown = from_base(line.quantity, line.material.unit)
    return OrderPaperLine(
        words=line.words,
        quantity=shown,
        unit=line.material.unit,
        price=line.price,
        amount=round_money(line.price * shown, minor_unit),
    )


def due_credits() -> QuerySet[Credit]:
    """Credits for stock that did go back, those not settled yet first, then the oldest."""
    due = Credit.objects.exclude(entry__followed_by__reason=Reason.CORRECTED)
    return due.order_by(F("settled_on").asc(nulls_first=True), "given_on", "pk")


def open_credits() -> list[Credit]:
    """Credits not settled yet, the oldest first."""
    return list(due_credits().filter(settled_on=None).select_related("supplier", "entry__lot"))


def use_of_material(material: Material, since: date) -> QuerySet[StockEntry]:
    """What was drawn since that day, came back, or went into stock made of it: entries unsorted.

    What was undone is left out.
    """
    rows = material.entries.filter(
        Q(quantity__lt=0) | Q(reason=Reason.RETURNED),
        reason__in=(Reason.DRAWN, Reason.RETURNED, Reason.MADE),
        happened_at__date__gte=since,
    )
    return rows.exclude(followed_by__reason=Reason.CORRECTED).order_by()


def used_by_month(material: Material, today: date, months: int = 12) -> list[Decimal]:
    """What was used in each of the last whole `months`, the oldest first, in base units."""
    first = today + relativedelta(months=-months, day=1)
    by_month: dict[tuple[int, int], Decimal] = {}
    sums = use_of_material(material, first).values("happened_at__year", "happened_at__month")
    for row in sums.annotate(quantity=Sum("quantity")):
        by_month[row["happened_at__year"], row["happened_at__month"]] = -row["quantity"]
    days = [today + relativedelta(months=-back, day=1) for back in range(months, 0, -1)]
    return [max(by_month.get((day.year, day.month), Decimal(0)), Decimal(0)) for day in days]
