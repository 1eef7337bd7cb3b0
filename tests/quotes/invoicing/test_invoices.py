"""Invoices, credit notes and payments: numbered, added up, never changed."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.invoicing.queries.invoices import owed_on, parts_of, statement_of, still_open
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import correct_payment, record_payment
from quotes.models import Change, Invoice, Payment, PricingPolicy, Quote
from quotes.pricing.calc.parts import PartTerm, part_documents, payment_parts
from quotes.pricing.calc.tax import TaxableLine, standard
from quotes.pricing.calc.tax_document import tax_document
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage


@pytest.fixture
def osric(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy(payment_days=14)
    return make_client("Osric Pondweed")


@pytest.fixture
def accepted(osric):
    """The W1 price: 3,768.00 gross in three parts."""
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("20", "48", "80"))
    make_template_line(template, "all of it", cost_likely=Decimal("560.80"))
    quote = make_quote(make_commission(osric), template, on=TODAY)
    quote = edit_quote(quote=quote, shipping=Decimal(60))
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def pay(client, amount, **fields):
    fields.setdefault("received_on", TODAY)
    return record_payment(client=client, amount=Decimal(amount), now=NOW, **fields)


def test_three_parts_make_up_the_price_and_each_has_its_own_tax(accepted):
    invoices = [issue_invoice(quote=accepted, part=part, on=TODAY) for part in range(3)]
    assert [invoice.kind for invoice in invoices] == ["deposit", "stage", "balance"]
    assert [(invoice.net, invoice.tax, invoice.gross) for invoice in invoices] == [
        (Decimal("942.00"), Decimal("188.40"), Decimal("1130.40")),
        (Decimal("942.00"), Decimal("188.40"), Decimal("1130.40")),
        (Decimal("1256.00"), Decimal("251.20"), Decimal("1507.20")),
    ]
    assert [invoice.number for invoice in invoices] == ["I-2027-001", "I-2027-002", "I-2027-003"]
    assert invoices[0].due_on == TODAY + timedelta(days=14)


def test_a_part_is_invoiced_once_unless_it_was_taken_back(accepted):
    first = issue_invoice(quote=accepted, part=0, on=TODAY)
    with pytest.raises(Refusal, match="Deposit of Q-2027-001 is invoiced already"):
        issue_invoice(quote=accepted, part=0, on=TODAY)
    credit_invoice(invoice=first, on=TODAY, why="wrong address")
    assert issue_invoice(quote=accepted, part=0, on=TODAY).number == "I-2027-002"


def test_only_what_was_accepted_is_invoiced(accepted):
    Quote.objects.update(state=Quote.State.ISSUED)
    with pytest.raises(Refusal, match="invoices follow once it is accepted"):
        issue_invoice(quote=accepted, part=0, on=TODAY)


def test_a_credit_note_takes_back_net_and_tax_alike(accepted):
    first = issue_invoice(quote=accepted, part=0, on=TODAY)
    half = credit_invoice(invoice=first, on=TODAY, why="a favour", amount=Decimal("565.20"))
    assert (half.number, half.net, half.tax) == (
        "C-2027-001",
        Decimal("-471.00"),
        Decimal("-94.20"),
    )
    rest = credit_invoice(invoice=first, on=TODAY, why="the rest")
    assert first.net + half.net + rest.net == 0
    assert first.tax + half.tax + rest.tax == 0
    with pytest.raises(Refusal, match=r"has 0\.00 left to credit"):
        credit_invoice(invoice=first, on=TODAY, why="again", amount=Decimal("0.01"))


def test_an_invoice_stays_as_it_was_sent(accepted, osric):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    with invoice.document.open() as kept:
        before = kept.read()
    osric.name = "O. Pondweed the Elder"
    osric.save()
    make_policy(tax_rate=Decimal("0.30"), terms="other terms")
    fresh = Invoice.objects.get()
    with fresh.document.open() as kept:
        assert kept.read() == before
    assert fresh.frozen == invoice.frozen


def test_what_is_owed_falls_with_payments_and_grows_late(accepted, osric):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    pay(osric, "1000.00", invoice=invoice)
    late = invoice.due_on + timedelta(days=9)
    (account,) = owed_on(late)
    (owed,) = account.invoices
    assert (owed.owed, owed.days_late) == (Decimal("130.40"), 9)
    pay(osric, "130.40", invoice=invoice, received_on=late)
    assert owed_on(late) == []
    assert owed_on(late, osric)[0].invoices == ()


def test_too_much_stays_on_the_account_and_a_refund_clears_it(accepted, osric):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    pay(osric, "1200.00", invoice=invoice)
    (account,) = owed_on(TODAY)
    assert account.account.balance == Decimal("-69.60")
    pay(osric, "-69.60", invoice=invoice)
    assert owed_on(TODAY, osric)[0].account.balance == 0


def test_a_wrong_payment_gets_a_counter_payment_once(accepted, osric):
    payment = pay(osric, "500.00")
    counter = correct_payment(payment=payment, why="another Pondweed", now=NOW)
    assert counter.amount == Decimal("-500.00")
    assert sum(Payment.objects.values_list("amount", flat=True)) == 0
    with pytest.raises(Refusal, match="is already reversed"):
        correct_payment(payment=payment, why="again", now=NOW)


def test_foreign_money_is_kept_at_its_own_rate(workshop, osric):
    lune = make_client("Lune Farthing-Quill", currency="USD")
    with pytest.raises(Refusal, match=r"Give the day's exchange rate \(USD for 1 EUR\)"):
        pay(lune, "1153.50")
    payment = pay(lune, "1153.50", exchange_rate=Decimal("1.2"))
    assert (payment.currency, payment.home) == ("USD", Decimal("961.25"))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"amount": "0"}, "Give an amount other than 0"),
        ({"amount": "1", "currency": "QQQ"}, "is not a currency code"),
    ],
    ids=["nothing", "currency"],
)
def test_a_payment_that_can_not_be_meant_is_refused(osric, fields, sentence):
    with pytest.raises(Refusal, match=sentence):
        pay(osric, **fields)


def test_a_payment_for_somebody_elses_invoice_is_refused(accepted):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    with pytest.raises(Refusal, match="was sent to Osric Pondweed"):
        pay(make_client("Lune Farthing-Quill"), "10", invoice=invoice)


def test_an_agreed_change_is_invoiced_on_its_own(accepted):
    change = Change.objects.create(
        commission=accepted.commission,
        quote=accepted,
        number=1,
        title="wider nut",
        price=Decimal(50),
        offered_on=TODAY,
    )
    with pytest.raises(Refusal, match="is not agreed"):
        issue_invoice(quote=accepted, change=change, on=TODAY)
    change.state = Change.State.AGREED
    change.save()
    invoice = issue_invoice(quote=accepted, change=change, on=TODAY)
    assert (invoice.net, invoice.gross) == (Decimal(50), Decimal(60))
    with pytest.raises(Refusal, match="is invoiced already"):
        issue_invoice(quote=accepted, change=change, on=TODAY)


def test_a_statement_ends_at_the_balance(accepted, osric):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    pay(osric, "1000.00", invoice=invoice, received_on=TODAY + timedelta(days=3))
    rows = statement_of(osric, "EUR", date(2027, 3, 1), date(2027, 3, 31))
    assert [(row.charged, row.paid, row.balance) for row in rows] == [
        (0, 0, 0),
        (Decimal("1130.40"), 0, Decimal("1130.40")),
        (0, Decimal(1000), Decimal("130.40")),
    ]


def test_a_payment_code_stands_on_an_invoice_in_euro(accepted):
    PricingPolicy.objects.update(iban="NL64 TURN 0000 1234 56", account_holder="Turnip Hollow")
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    code = invoice.frozen["paper"]["bank"]["code"].split("\n")
    assert code[:2] == ["BCD", "002"]
    assert code[6:8] == ["NL64TURN0000123456", "EUR1130.40"]
    assert code[10] == "Invoice I-2027-001"


def test_parts_show_which_invoice_asked_for_them(accepted):
    issue_invoice(quote=accepted, part=0, on=TODAY)
    parts = parts_of(accepted, TODAY)
    assert [part.invoice and part.invoice.number for part in parts] == ["I-2027-001", None, None]


@given(
    net=st.decimals(min_value=1, max_value=99999, places=2),
    percents=st.lists(st.integers(1, 99), min_size=1, max_size=4),
)
def test_credits_of_every_part_take_back_the_whole(net, percents):
    whole = tax_document([TaxableLine(name="it", net=net, rate=standard(Decimal(21)))])
    terms = [PartTerm(name="p", percent=Decimal(p) / sum(percents) * 100) for p in percents[:-1]]
    rest = Decimal(100) - sum((term.percent for term in terms), Decimal(0))
    parts = payment_parts(whole.gross, [*terms, PartTerm(name="rest", percent=rest)])
    assert sum(each.due for each in part_documents(whole, parts)) == whole.gross


@pytest.mark.parametrize(
    ("amount", "currency", "steps"),
    [("10.005", "", "EUR goes in steps of 0.01"), ("1000.5", "JPY", "JPY goes in steps of 1")],
    ids=["half a cent", "half a yen"],
)
def test_a_payment_is_whole_minor_units_of_its_own_currency(osric, amount, currency, steps):
    with pytest.raises(Refusal, match=steps):
        pay(osric, amount, currency=currency, exchange_rate=Decimal(160))
    assert not Payment.objects.exists()


def test_a_fee_is_whole_minor_units(osric):
    with pytest.raises(Refusal, match=r"EUR goes in steps of 0\.01: 0\.005") as refused:
        pay(osric, "10.00", fee=Decimal("0.005"))
    assert refused.value.field == "fee"


def test_a_fee_is_kept_in_the_currency_it_was_typed_in_and_at_the_rate_of_its_payment(osric):
    """1,000.00 USD at 1.25 is 800.00; 29.30 of it, the fee, is 23.44. Reversed, both go back."""
    money = {"currency": "USD", "exchange_rate": Decimal("1.25")}
    row = pay(osric, "1000.00", fee=Decimal("29.30"), fee_currency="USD", **money)
    assert (row.home, row.foreign_fee, row.fee) == tuple(map(Decimal, ("800.00", "29.30", "23.44")))
    back = correct_payment(payment=row, why="typed twice", now=NOW)
    assert (back.foreign_fee, back.fee) == (Decimal("-29.30"), Decimal("-23.44"))
    at_home = pay(osric, "1000.00", fee=Decimal("12.00"), fee_currency="EUR", **money)
    assert (at_home.foreign_fee, at_home.fee) == (None, Decimal("12.00"))


@pytest.mark.parametrize(
    ("fee", "kept_in", "sentence", "field"),
    [
        ("1000.01", "USD", r"from 0 to the payment itself, here 1000\.00 USD", "fee"),
        ("0.005", "USD", "USD goes in steps of 0.01", "fee"),
        ("5", "GBP", "kept in USD or in EUR", "fee_currency"),
    ],
)
def test_a_fee_that_can_t_be_is_refused(osric, fee, kept_in, sentence, field):
    with pytest.raises(Refusal, match=sentence) as refused:
        pay(
            osric,
            "1000.00",
            fee=Decimal(fee),
            fee_currency=kept_in,
            currency="USD",
            exchange_rate=Decimal("1.25"),
        )
    assert refused.value.field == field


def test_a_credit_is_whole_minor_units(accepted):
    first = issue_invoice(quote=accepted, part=0, on=TODAY)
    with pytest.raises(Refusal, match=r"EUR goes in steps of 0\.01: 10\.005"):
        credit_invoice(invoice=first, on=TODAY, why="a favour", amount=Decimal("10.005"))


def test_every_act_keeps_what_is_unsettled_as_payments_and_credit_notes_leave_it(osric, accepted):
    first, second = [issue_invoice(quote=accepted, part=part, on=TODAY) for part in (0, 1)]
    acts = [
        lambda: pay(osric, 100, invoice=first),
        lambda: correct_payment(payment=first.payments.get(), why="twice", now=NOW),
        lambda: pay(osric, first.gross + 5, invoice=first),
        lambda: credit_invoice(invoice=second, on=TODAY, why="not built", amount=Decimal(50)),
        lambda: credit_invoice(invoice=second, on=TODAY, why="not built"),
    ]
    for act in acts:
        act()
        for row in Invoice.objects.filter(credits=None):
            assert row.unsettled == still_open(row)
    left = Invoice.objects.order_by("pk").values_list("unsettled", flat=True)
    assert list(left) == [-5, 0, 0, 0]


def test_accounts_that_are_even_are_left_out_of_what_is_owed(osric, accepted):
    later = TODAY + timedelta(days=5)
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    pay(osric, invoice.gross, invoice=invoice, received_on=later)
    assert [len(account.invoices) for account in owed_on(TODAY)] == [1]
    assert owed_on(later) == []
    assert len(owed_on(later, osric)) == 1


def test_goods_can_not_have_been_delivered_tomorrow(accepted):
    with pytest.raises(Refusal) as refused:
        issue_invoice(quote=accepted, part=0, on=TODAY, delivered_on=TODAY + timedelta(1))
    assert refused.value.field == "delivered_on"
    assert not Invoice.objects.exists()


def test_a_payment_is_in_the_currency_of_its_invoice(accepted, osric):
    invoice = issue_invoice(quote=accepted, part=0, on=TODAY)
    with pytest.raises(Refusal, match="asks for EUR, not USD"):
        pay(osric, "100.00", invoice=invoice, currency="USD", exchange_rate=Decimal("1.1"))
    assert not Payment.objects.exists()
