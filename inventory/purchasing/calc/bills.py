"""A supplier's bill beside what was delivered, and a year of purchases added up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.periods import QUARTER_MONTHS
from inventory.base.calc.table import YearTable

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BillCheck:
    """A bill's net beside goods and carriage of its deliveries, in `currency`; tax in `home`.

    `tax` is what can be reclaimed on the deliveries, `duty` what can't.
    """

    currency: str
    billed: Decimal
    goods: Decimal
    carriage: Decimal
    home: str
    billed_tax: Decimal
    tax: Decimal
    duty: Decimal

    @property
    def difference(self) -> Decimal:
        """By how much the bill is above its deliveries; below 0 where it is less."""
        return self.billed - self.goods - self.carriage

    @property
    def tax_difference(self) -> Decimal:
        """By how much its tax is above that of the deliveries, be it reclaimed or part of cost."""
        if self.billed_tax == self.tax + self.duty:
            return NOTHING
        return self.billed_tax - self.tax

    @property
    def agrees(self) -> bool:
        """Whether neither net nor tax differs."""
        return not self.difference and not self.tax_difference

    @property
    def words(self) -> str:
        """The difference as sentences."""
        delivered = (
            f"{_money(self.goods, self.currency)} goods and "
            f"{_money(self.carriage, self.currency)} carriage"
        )
        return " ".join(
            (
                self._words_of_net(delivered),
                self._words_of_tax() if self.tax_difference else "Tax agrees.",
            )
        )

    def _words_of_net(self, delivered: str) -> str:
        if not self.difference:
            return f"Net agrees with what was delivered: {delivered}."
        by = _money(abs(self.difference), self.currency)
        return f"Net is {by} {_way(self.difference)} what was delivered: {delivered}."

    def _words_of_tax(self) -> str:
        by = _money(abs(self.tax_difference), self.home)
        on = _money(self.tax, self.home)
        return f"Tax is {by} {_way(self.tax_difference)} the {on} booked with the deliveries."


def _way(difference: Decimal) -> str:
    return "more than" if difference > 0 else "less than"


def _money(amount: Decimal, code: str) -> str:
    return f"{round_money(amount, minor_unit_of(code)):,} {code}"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedBill:
    """One bill of a year; `net` and `tax` in its own currency, the rest in home money."""

    number: str
    supplier: str
    on: date
    due_on: date
    currency: str
    net: Decimal
    tax: Decimal
    home_net: Decimal
    home_tax: Decimal
    paid_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseRow:
    """Bills of one month, quarter or supplier, added up in home money."""

    name: str
    count: int
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class YearPurchases:
    """A year of purchases by the day of the bill, in home money; `unpaid` is gross."""

    year: int
    months: tuple[PurchaseRow, ...]
    quarters: tuple[PurchaseRow, ...]
    suppliers: tuple[PurchaseRow, ...]
    total: PurchaseRow
    unpaid: Decimal
    bills: tuple[BookedBill, ...]


def add_up_purchases(year: int, bills: Sequence[BookedBill]) -> YearPurchases:
    """Add up the bills of a year: by month, by quarter, and by supplier, the largest net first."""
    names = sorted({bill.supplier for bill in bills})
    suppliers = [_row(name, (bill for bill in bills if bill.supplier == name)) for name in names]
    return YearPurchases(
        year=year,
        months=tuple(_months(bills, f"{month}", month, month) for month in range(1, 13)),
        quarters=tuple(
            _months(bills, f"{quarter}", *months) for quarter, months in QUARTER_MONTHS.items()
        ),
        suppliers=tuple(sorted(suppliers, key=lambda row: -row.net)),
        total=_row("", bills),
        unpaid=sum((one.home_net + one.home_tax for one in bills if not one.paid_on), NOTHING),
        bills=tuple(bills),
    )


def _months(bills: Iterable[BookedBill], name: str, first: int, last: int) -> PurchaseRow:
    return _row(name, (bill for bill in bills if first <= bill.on.month <= last))


def _row(name: str, bills: Iterable[BookedBill]) -> PurchaseRow:
    found = list(bills)
    return PurchaseRow(
        name=name,
        count=len(found),
        net=sum((bill.home_net for bill in found), NOTHING),
        tax=sum((bill.home_tax for bill in found), NOTHING),
    )


def purchase_tables(purchases: YearPurchases, currency: str) -> tuple[YearTable, ...]:
    """Return every list of the year; `currency` is home money's code, named in the columns."""
    return (
        _table("months", "month", purchases.months, currency),
        _table("quarters", "quarter", purchases.quarters, currency),
        _table("suppliers", "supplier", purchases.suppliers, currency),
        YearTable(
            name="bills",
            columns=(
                "date", "supplier", "number", "due", "currency", "net", "tax", "gross",
                f"net {currency}", f"tax {currency}", f"gross {currency}", "paid",
            ),
            rows=tuple(
                (bill.on, bill.supplier, bill.number, bill.due_on, bill.currency,
                 *_in(bill.currency, bill.net, bill.tax, bill.net + bill.tax),
                 *_in(currency, bill.home_net, bill.home_tax, bill.home_net + bill.home_tax),
                 bill.paid_on)
                for bill in purchases.bills
            ),
        ),
    )  # fmt: skip


def _table(name: str, what: str, rows: Iterable[PurchaseRow], currency: str) -> YearTable:
    return YearTable(
        name=name,
        columns=(what, "bills", f"net {currency}", f"tax {currency}", f"gross {currency}"),
        rows=tuple(
            (row.name, row.count, *_in(currency, row.net, row.tax, row.gross)) for row in rows
        ),
    )


def _in(currency: str, *amounts: Decimal) -> tuple[Decimal, ...]:
    minor_unit = minor_unit_of(currency)
    return tuple(round_money(amount, minor_unit) for amount in amounts)
