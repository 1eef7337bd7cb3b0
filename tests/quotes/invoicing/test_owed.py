from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.invoicing.calc.owed import AccountPayment, Bill, accounts_on, ageing, statement
from tests.quotes.strategies import cents

OSRIC, LUNE = "Osric Pondweed", "Lune Farthing-Quill"


def bill(number, gross, *, client=OSRIC, issued=date(2027, 3, 2), days=14, credits=""):
    return Bill(
        number=number,
        client=client,
        issued_on=issued,
        due_on=issued + timedelta(days=days),
        gross=Decimal(gross),
        credits=credits,
    )


def payment(amount, for_bill="", *, client=OSRIC, on=date(2027, 3, 10)):
    return AccountPayment(client=client, paid_on=on, amount=Decimal(amount), bill=for_bill)


DEPOSIT = bill("I-2027-001", "1130.40")
STAGE = bill("I-2027-002", "1130.40", issued=date(2027, 5, 3))


def only_account(bills, payments, on=date(2027, 6, 1)):
    [account] = accounts_on(bills, payments, on)
    return account


@pytest.mark.parametrize(
    ("paid", "owed", "over_paid"),
    [
        ([], "1130.40", "0"),
        (["500"], "630.40", "0"),
        (["500", "630.40"], "0", "0"),
        (["1200"], "0", "69.60"),
    ],
    ids=["unpaid", "in part", "in two parts", "too much"],
)
def test_what_is_owed_on_an_invoice(paid, owed, over_paid):
    account = only_account([DEPOSIT], [payment(amount, "I-2027-001") for amount in paid])
    assert (account.owed, account.over_paid) == (Decimal(owed), Decimal(over_paid))


@pytest.mark.parametrize(
    ("on", "days"),
    [
        (date(2027, 3, 15), 0),
        (date(2027, 3, 16), 0),
        (date(2027, 3, 17), 1),
        (date(2027, 4, 15), 30),
    ],
    ids=["before", "on the day", "a day after", "a month after"],
)
def test_an_invoice_is_late_from_the_day_after_it_is_due(on, days):
    assert only_account([DEPOSIT], [], on).days_late == days


def test_a_paid_invoice_is_not_late():
    assert only_account([DEPOSIT], [payment("1130.40", "I-2027-001")]).days_late == 0


def test_what_is_dated_after_the_day_does_not_count_yet():
    account = only_account(
        [DEPOSIT, STAGE], [payment("1130.40", "I-2027-001")], on=date(2027, 3, 9)
    )
    assert account.owed == Decimal("1130.40")


def test_a_refund_takes_an_over_payment_back():
    refunded = [payment("1200", "I-2027-001"), payment("-69.60", "I-2027-001")]
    account = only_account([DEPOSIT], refunded)
    assert (account.owed, account.over_paid, account.balance) == (0, 0, 0)


def test_a_credit_note_settles_its_invoice():
    credit = bill("C-2027-001", "-130.40", credits="I-2027-001")
    assert only_account([DEPOSIT, credit], []).owed == Decimal("1000.00")


def test_money_on_account_settles_what_is_due_first():
    account = only_account([STAGE, DEPOSIT], [payment("1500")])
    owed = {debt.bill.number: debt.owed for debt in account.debts}
    assert owed == {"I-2027-001": 0, "I-2027-002": Decimal("760.80")}
    assert account.on_account == 0


def test_money_that_no_invoice_takes_stays_on_account():
    account = only_account([DEPOSIT], [payment("1200")])
    assert (account.on_account, account.balance) == (Decimal("69.60"), Decimal("-69.60"))


def test_a_credit_note_for_no_invoice_stands_on_account():
    account = only_account([bill("C-2027-002", "-50")], [])
    assert (account.debts, account.on_account) == ((), 50)


def test_the_latest_client_stands_first():
    late = bill("I-2027-003", "10", client=LUNE, days=0)
    accounts = accounts_on([DEPOSIT, late], [], date(2027, 4, 1))
    assert [account.client for account in accounts] == [LUNE, OSRIC]


def test_debts_are_added_up_by_how_late_they_are():
    ages = [(14, "1"), (0, "2"), (-30, "4"), (-31, "8"), (-90, "16"), (-91, "32")]
    bills = [
        bill(f"I-2027-{at:03}", gross, issued=date(2027, 6, 1), days=days)
        for at, (days, gross) in enumerate(ages, 1)
    ]
    debts = only_account(bills, []).debts
    assert ageing(debts) == {
        "not due yet": 3,
        "1 to 30 days late": 4,
        "31 to 60 days late": 8,
        "61 to 90 days late": 16,
        "more than 90 days late": 32,
    }


def test_a_statement_runs_from_the_balance_before():
    rows = statement(
        [DEPOSIT, STAGE],
        [
            payment("1000", "I-2027-001"),
            payment("300", on=date(2027, 5, 3)),
            payment("-5", on=date(2027, 5, 9)),
        ],
        date(2027, 5, 1),
        date(2027, 5, 31),
    )
    assert [(row.words, row.charged, row.paid, row.balance) for row in rows] == [
        ("Brought forward", 0, 0, Decimal("130.40")),
        ("Invoice I-2027-002", Decimal("1130.40"), 0, Decimal("1260.80")),
        ("Payment", 0, 300, Decimal("960.80")),
        ("Refund", 0, -5, Decimal("965.80")),
    ]


def test_the_first_day_of_a_statement_is_in_it():
    rows = statement([DEPOSIT], [], DEPOSIT.issued_on, DEPOSIT.issued_on)
    assert [row.balance for row in rows] == [0, Decimal("1130.40")]


def test_a_statement_names_credit_notes_and_what_payments_were_for():
    rows = statement(
        [bill("C-2027-001", "-50", credits="I-2027-001")],
        [payment("20", "I-2027-001")],
        date(2027, 1, 1),
        date(2027, 12, 31),
    )
    assert [row.words for row in rows] == [
        "Brought forward",
        "Credit note C-2027-001",
        "Payment for I-2027-001",
    ]


days = st.integers(0, 60).map(lambda day: date(2027, 3, 1) + timedelta(days=day))
codes = st.sampled_from(["I-1", "I-2", "I-3", ""])


@st.composite
def books(draw):
    """Invoices with their own numbers, credit notes and payments of two clients."""
    clients = st.sampled_from([OSRIC, LUNE])
    invoices = [
        bill(f"I-{at}", draw(cents()), client=draw(clients), issued=draw(days)) for at in (1, 2, 3)
    ]
    credit = bill(
        "C-1", -draw(cents(most=500)), client=draw(clients), issued=draw(days), credits=draw(codes)
    )
    payments = draw(
        st.lists(
            st.builds(
                AccountPayment, client=clients, paid_on=days, amount=cents(-5000), bill=codes
            ),
            max_size=6,
        )
    )
    return [*invoices, credit], payments


@given(book=books(), on=days)
def test_balances_are_what_was_billed_less_what_was_paid(book, on):
    bills, payments = book
    billed = sum(each.gross for each in bills if each.issued_on <= on)
    paid = sum(each.amount for each in payments if each.paid_on <= on)
    accounts = accounts_on(bills, payments, on)
    assert sum(account.balance for account in accounts) == billed - paid
    assert all(debt.owed >= 0 and debt.over_paid >= 0 for each in accounts for debt in each.debts)


@given(book=books(), on=days)
def test_a_statement_ends_at_the_balance(book, on):
    bills, payments = ([each for each in entries if each.client == OSRIC] for entries in book)
    [*_, last] = statement(bills, payments, date(2027, 1, 1), on)
    accounts = accounts_on(bills, payments, on)
    assert last.balance == sum(account.balance for account in accounts)


def test_on_one_day_a_credit_note_follows_its_invoice():
    day = date(2027, 3, 9)
    invoice = Bill(number="I-1", client="o", issued_on=day, due_on=day, gross=Decimal(100))
    note = Bill(
        number="C-1", client="o", issued_on=day, due_on=day, gross=Decimal(-10), credits="I-1"
    )
    rows = statement([note, invoice], [], day, day)
    assert [row.words for row in rows[1:]] == ["Invoice I-1", "Credit note C-1"]
