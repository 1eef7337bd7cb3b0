"""A year of the books as plain tables, to be taken along in a file."""

from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.table import YearTable
from quotes.year.calc.year import GroupRow, YearBooks


def year_tables(books: YearBooks, currency: str) -> tuple[YearTable, ...]:
    """Return every list of the year; `currency` is home money's code, named in the columns.

    Money is in the minor units of its own currency.
    """

    def home(amount: Decimal) -> Decimal:
        return _in(currency, amount)[0]

    return (
        YearTable(
            name="months",
            columns=(
                "month", "quotes accepted", f"invoiced net {currency}", f"tax {currency}",
                f"received {currency}", "hours", "billable hours",
            ),
            rows=tuple(
                (row.month, row.accepted, home(row.invoiced), home(row.tax), home(row.received),
                 _hours(row.minutes), _hours(row.billable_minutes))
                for row in books.months
            ),
        ),
        YearTable(
            name="quarters",
            columns=(
                "quarter", "quotes accepted", f"invoiced net {currency}", f"tax {currency}",
                f"received gross {currency}", "hours", "billable hours",
            ),
            rows=tuple(
                (row.quarter, row.accepted, home(row.invoiced), home(row.tax), home(row.received),
                 _hours(row.minutes), _hours(row.billable_minutes))
                for row in books.quarters
            ),
        ),
        _groups("templates", "template", books.templates, currency),
        _groups("clients", "kind of client", books.clients, currency),
        YearTable(
            name="taxes",
            columns=("rate or reason", f"net {currency}", f"tax {currency}"),
            rows=tuple((row.words, home(row.net), home(row.tax)) for row in books.taxes),
        ),
        YearTable(
            name="taxes-by-quarter",
            columns=("quarter", "rate or reason", f"net {currency}", f"tax {currency}"),
            rows=tuple(
                (quarter.quarter, row.words, home(row.net), home(row.tax))
                for quarter in books.quarters
                for row in quarter.taxes
            ),
        ),
        YearTable(
            name="member-states",
            columns=("tax number", "client", f"net {currency}"),
            rows=tuple((row.number, row.client, home(row.net)) for row in books.union),
        ),
        YearTable(
            name="invoices",
            columns=(
                "number", "date", "client", "kind", "currency", "net", "tax", "gross",
                f"net {currency}", f"tax {currency}",
            ),
            rows=tuple(
                (row.number, row.on, row.client, row.kind, row.currency,
                 *_in(row.currency, row.net, row.tax, row.gross),
                 home(row.home_net), home(row.home_tax))
                for row in books.invoices
            ),
        ),
        YearTable(
            name="payments",
            columns=(
                "number", "date", "client", "currency", "amount", f"amount {currency}",
                f"fee deducted {currency}",
            ),
            rows=tuple(
                (row.number, row.on, row.client, row.currency, *_in(row.currency, row.amount),
                 home(row.home), home(row.fee))
                for row in books.payments
            ),
        ),
    )  # fmt: skip


def _groups(name: str, what: str, rows: tuple[GroupRow, ...], currency: str) -> YearTable:
    return YearTable(
        name=name,
        columns=(
            what, "quotes accepted", f"net {currency}", "builds closed out",
            "hours", f"effective hourly {currency}",
        ),
        rows=tuple(
            (row.name, row.accepted, *_in(currency, row.net), row.closed, row.hours, row.hourly)
            for row in rows
        ),
    )  # fmt: skip


def _hours(minutes: Decimal) -> Decimal:
    return round_money(minutes / 60)


def _in(currency: str, *amounts: Decimal) -> tuple[Decimal, ...]:
    minor_unit = minor_unit_of(currency)
    return tuple(round_money(amount, minor_unit) for amount in amounts)
