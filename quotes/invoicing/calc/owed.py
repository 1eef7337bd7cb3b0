"""Who owes what on a day, how late it is, and a client's account line by line."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.base.calc.figures import NOTHING

AGES = ((30, "1 to 30 days late"), (60, "31 to 60 days late"), (90, "61 to 90 days late"))
NOT_DUE = "not due yet"
OLDEST = "more than 90 days late"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """An invoice with its gross, or a credit note: a gross below 0, for the invoice it `credits`.

    A credit note that names no invoice stands on the client's account.
    """

    number: str
    client: str
    issued_on: date
    due_on: date
    gross: Decimal
    credits: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountPayment:
    """Money that came in for an invoice, or on account where `bill` is empty; below 0 a refund."""

    client: str
    paid_on: date
    amount: Decimal
    bill: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Debt:
    """An invoice on a day: what was settled of it, what is still owed, what was paid too much."""

    bill: Bill
    settled: Decimal
    owed: Decimal
    over_paid: Decimal
    days_late: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """A client's invoices on a day; `on_account` is money that no invoice has taken up.

    `balance` is owed less over-paid less on account: what the client would pay to be even, below
    0 what is theirs.
    """

    client: str
    debts: tuple[Debt, ...]
    on_account: Decimal

    @property
    def owed(self) -> Decimal:
        """What is owed on all invoices."""
        return sum((debt.owed for debt in self.debts), NOTHING)

    @property
    def over_paid(self) -> Decimal:
        """What was paid too much on invoices."""
        return sum((debt.over_paid for debt in self.debts), NOTHING)

    @property
    def balance(self) -> Decimal:
        """What the client would pay to be even."""
        return self.owed - self.over_paid - self.on_account

    @property
    def days_late(self) -> int:
        """The days of the invoice that is latest."""
        return max((debt.days_late for debt in self.debts), default=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementRow:
    """One line of a statement; a credit note is charged and a refund paid below 0."""

    on: date
    words: str
    charged: Decimal
    paid: Decimal
    balance: Decimal


def accounts_on(
    bills: Iterable[Bill], payments: Iterable[AccountPayment], on: date
) -> tuple[Account, ...]:
    """Return every client's account on the day, the latest first.

    What is dated after the day doesn't count yet. Money for an invoice stays with it; money on
    account settles the invoices that are due first, and what is left of it stays on account.
    """
    sent: dict[str, list[Bill]] = {}
    paid: dict[str, list[AccountPayment]] = {}
    for bill in bills:
        if bill.issued_on <= on:
            sent.setdefault(bill.client, []).append(bill)
    for payment in payments:
        if payment.paid_on <= on:
            paid.setdefault(payment.client, []).append(payment)
    accounts = [
        _account(client, sent.get(client, []), paid.get(client, []), on)
        for client in dict.fromkeys([*sent, *paid])
    ]
    return tuple(sorted(accounts, key=lambda account: (-account.days_late, -account.owed)))


def ageing(debts: Iterable[Debt]) -> dict[str, Decimal]:
    """Add up what is owed by how late it is, from not due to the oldest."""
    ages = dict.fromkeys((NOT_DUE, *(words for _, words in AGES), OLDEST), NOTHING)
    for debt in debts:
        ages[_age(debt.days_late)] += debt.owed
    return ages


def statement(
    bills: Iterable[Bill], payments: Iterable[AccountPayment], since: date, until: date
) -> tuple[StatementRow, ...]:
    """Return one client's account from `since` to `until`, both in it, from the balance before.

    On one day invoices stand before credit notes, and those before payments.
    """
    entries = sorted([*map(_charged, bills), *map(_paid, payments)])
    balance = sum((row[3] - row[4] for row in entries if row[0] < since), NOTHING)
    rows = [_row(since, "Brought forward", NOTHING, NOTHING, balance)]
    for on, _, words, charged, paid in entries:
        if since <= on <= until:
            balance += charged - paid
            rows.append(_row(on, words, charged, paid, balance))
    return tuple(rows)


def _account(
    client: str, bills: Sequence[Bill], payments: Sequence[AccountPayment], on: date
) -> Account:
    invoices = {bill.number: bill for bill in bills if bill.gross >= 0}
    settled = dict.fromkeys(invoices, NOTHING)
    loose = NOTHING
    for number, amount in _settling(bills, payments):
        if number in settled:
            settled[number] += amount
        else:
            loose += amount
    for bill in sorted(invoices.values(), key=lambda bill: (bill.due_on, bill.number)):
        taken = min(max(bill.gross - settled[bill.number], NOTHING), max(loose, NOTHING))
        settled[bill.number] += taken
        loose -= taken
    debts = tuple(_debt(bill, settled[bill.number], on) for bill in invoices.values())
    return Account(client=client, debts=debts, on_account=loose)


def _settling(
    bills: Sequence[Bill], payments: Sequence[AccountPayment]
) -> list[tuple[str, Decimal]]:
    paid = [(payment.bill, payment.amount) for payment in payments]
    return paid + [(bill.credits, -bill.gross) for bill in bills if bill.gross < 0]


def _debt(bill: Bill, settled: Decimal, on: date) -> Debt:
    owed = max(bill.gross - settled, NOTHING)
    return Debt(
        bill=bill,
        settled=settled,
        owed=owed,
        over_paid=max(settled - bill.gross, NOTHING),
        days_late=max((on - bill.due_on).days, 0) if owed else 0,
    )


def _age(days_late: int) -> str:
    if not days_late:
        return NOT_DUE
    return next((words for days, words in AGES if days_late <= days), OLDEST)


def _charged(bill: Bill) -> tuple[date, int, str, Decimal, Decimal]:
    place, words = (0, "Invoice") if bill.gross >= 0 else (1, "Credit note")
    return (bill.issued_on, place, f"{words} {bill.number}", bill.gross, NOTHING)


def _paid(payment: AccountPayment) -> tuple[date, int, str, Decimal, Decimal]:
    words = "Payment" if payment.amount >= 0 else "Refund"
    if payment.bill:
        words = f"{words} for {payment.bill}"
    return (payment.paid_on, 2, words, NOTHING, payment.amount)


def _row(on: date, words: str, charged: Decimal, paid: Decimal, balance: Decimal) -> StatementRow:
    return StatementRow(on=on, words=words, charged=charged, paid=paid, balance=balance)
