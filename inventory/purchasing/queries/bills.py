"""Suppliers' bills: which are asked for, what they come to, and what they cover."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import ExpressionWrapper, F, Q, QuerySet, Sum

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.periods import days_of
from inventory.base.queries import home_currency, sums_by_currency, years_of
from inventory.fields import MoneyField, money_value
from inventory.models import Bill, Delivery
from inventory.purchasing.calc.bills import BillCheck, BookedBill, YearPurchases, add_up_purchases
from inventory.purchasing.queries.deliveries import delivery_in_full, delivery_list, still_stands

MOST_OFFERED = 60
STANDING = Q(void_why="")
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BillsAsked:
    """What is looked for; what is empty (0, None) leaves nothing out, save void ones."""

    search: str = ""
    state: str = ""
    supplier: int | None = None
    year: int | None = None
    quarter: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BillSums:
    """What bills come to in one currency, and in home money; `unpaid` is gross."""

    currency: str
    count: int
    net: Decimal
    tax: Decimal
    home_net: Decimal
    home_tax: Decimal
    unpaid: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax


def bill_list() -> QuerySet[Bill]:
    """Bills, the latest first, each with its `gross` and `home_gross`."""
    rows = Bill.objects.select_related("supplier").annotate(
        gross=_sum_of("net", "tax"), home_gross=_sum_of("home_net", "home_tax")
    )
    return rows.order_by("-billed_on", "-pk")


def bills_asked_for(asked: BillsAsked, on: date) -> QuerySet[Bill]:
    """Return what is asked for, the latest first; `on` is the day by which it is overdue."""
    rows = bill_list().filter(_in_state(asked.state, on))
    if asked.year is not None:
        first, after = days_of(asked.year, asked.quarter)
        rows = rows.filter(billed_on__gte=first, billed_on__lt=after)
    if asked.supplier:
        rows = rows.filter(supplier=asked.supplier)
    if asked.search:
        found = Q(number__icontains=asked.search) | Q(note__icontains=asked.search)
        rows = rows.filter(found | Q(supplier__name__icontains=asked.search))
    return rows


def sums_of_bills(rows: QuerySet[Bill]) -> list[BillSums]:
    """Add bills up, currency by currency, in one query."""
    names = ("net", "tax", "home_net", "home_tax")
    added = sums_by_currency(rows, names, unpaid=Sum("gross", filter=Q(paid_on=None)))
    return [BillSums(**sums) for sums in added]


def years_billed() -> list[int]:
    """Return the years of which there are bills, the latest first. One query."""
    return years_of(Bill.objects.all(), "billed_on")


def billable_deliveries(bill: Bill | None = None) -> QuerySet[Delivery]:
    """Return the latest deliveries that no other bill covers, those of `bill` with them."""
    supplier = Q(supplier=bill.supplier_id) | Q(supplier=None) if bill else Q()
    free = delivery_list().filter(supplier, still_stands(), bill=None)
    keys = list(free.values_list("pk", flat=True)[:MOST_OFFERED])
    if bill:
        keys += bill.deliveries.values_list("pk", flat=True)
    return delivery_list().filter(pk__in=keys)


def check_bill(bill: Bill) -> BillCheck | None:
    """Return `bill` beside the deliveries that it covers; None where it covers none.

    In its own currency where all of them are in it too, else in home money.
    """
    rows = list(delivery_in_full().filter(still_stands(), bill=bill))
    home = home_currency()
    if not rows:
        return None
    is_same = all((row.currency or home) == bill.currency for row in rows)
    code = bill.currency if is_same else home
    is_home = code == home
    return BillCheck(
        currency=code,
        billed=bill.home_net if is_home else bill.net,
        goods=sum((_goods(row, is_home) for row in rows), NOTHING),
        carriage=sum((_carriage(row, is_home) for row in rows), NOTHING),
        home=home,
        billed_tax=bill.home_tax,
        tax=sum((row.tax for row in rows), NOTHING),
        duty=sum((row.duty for row in rows), NOTHING),
    )


def charged(delivery: Delivery) -> Decimal:
    """Return goods and carriage of `delivery`, in the currency that it was charged in."""
    is_home = not delivery.currency
    return _goods(delivery, is_home) + _carriage(delivery, is_home)


def year_purchases(year: int) -> YearPurchases:
    """Add up the bills of a year, by the day that stands on them. One query; void ones left out."""
    first, after = days_of(year)
    rows = bill_list().filter(STANDING, billed_on__gte=first, billed_on__lt=after)
    return add_up_purchases(year, [_booked(row) for row in rows.order_by("billed_on", "pk")])


def _goods(delivery: Delivery, is_home: bool) -> Decimal:
    prices = (
        line.price if is_home or line.foreign_price is None else line.foreign_price
        for line in delivery.lines.all()
    )
    return sum(prices, NOTHING)


def _carriage(delivery: Delivery, is_home: bool) -> Decimal:
    if is_home:
        return delivery.carriage
    if delivery.foreign_carriage is not None:
        return delivery.foreign_carriage
    # Kept in home money only, before the bill's own figure was kept too.
    back = delivery.carriage * (delivery.rate or 1)
    return round_money(back, minor_unit_of(delivery.currency))


def _booked(row: Bill) -> BookedBill:
    return BookedBill(
        number=row.number,
        supplier=row.supplier.name,
        on=row.billed_on,
        due_on=row.due_on,
        currency=row.currency,
        net=row.net,
        tax=row.tax,
        home_net=row.home_net,
        home_tax=row.home_tax,
        paid_on=row.paid_on,
    )


def _in_state(state: str, on: date) -> Q:
    is_open = STANDING & Q(paid_on=None)
    return {
        "open": is_open,
        "overdue": is_open & Q(due_on__lt=on, gross__gt=money_value(NOTHING)),
        "paid": STANDING & Q(paid_on__isnull=False),
        "void": ~STANDING,
    }.get(state, STANDING)


def _sum_of(net: str, tax: str) -> ExpressionWrapper:
    return ExpressionWrapper(F(net) + F(tax), output_field=MoneyField())


def bill_state(row: Bill, on: date) -> tuple[str, str]:
    """Return the word and the shape for where a bill stands on a day."""
    if row.is_void:
        return "void", "ring"
    if row.paid_on:
        return "paid", "full"
    return ("overdue", "diamond") if row.due_on < on and row.total > 0 else ("open", "half")
