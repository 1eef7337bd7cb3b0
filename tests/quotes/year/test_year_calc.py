from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from quotes.pricing.calc.tax import REASONS, TaxCategory
from quotes.year.calc.year import (
    AcceptedOrder,
    BookedInvoice,
    BookedPayment,
    ClosedBuild,
    add_up_year,
    home_groups,
)
from tests.quotes.strategies import cents

NO_HOURS = [(Decimal(0), Decimal(0))] * 12
FIGURES = st.integers(-500_000, 500_000).map(lambda number: Decimal(number) / 100)


def invoice(on, net, tax, words="20 %", client="Osric Pondweed", number=""):
    net, tax = Decimal(net), Decimal(tax)
    return BookedInvoice(
        number=f"I-{on}",
        on=on,
        client=client,
        client_kind="player",
        client_tax_number=number,
        kind="deposit",
        currency="EUR",
        net=net,
        tax=tax,
        gross=net + tax,
        home_net=net,
        home_tax=tax,
        groups=((words, net, tax),),
    )


def books(**shape):
    shape = {
        "orders": [], "closed": [], "invoices": [], "payments": [], "minutes": NO_HOURS
    } | shape  # fmt: skip
    return add_up_year(2027, **shape)


def test_a_year_of_nothing_is_empty():
    assert books().is_empty
    assert len(books().months) == 12


def test_money_stands_in_its_month_and_a_credit_note_comes_off():
    year = books(
        invoices=[
            invoice(date(2027, 3, 2), "942.00", "188.40"),
            invoice(date(2027, 3, 30), "-100.00", "-20.00"),
            invoice(date(2027, 7, 1), "500.00", "0", "Export"),
        ],
        payments=[
            BookedPayment(
                number="R-1",
                on=date(2027, 4, 1),
                client="Osric Pondweed",
                currency="EUR",
                amount=Decimal("1130.40"),
                home=Decimal("1130.40"),
                fee=Decimal(0),
            )
        ],
    )
    assert [(row.month, row.invoiced, row.tax, row.received) for row in year.months if
            row.invoiced or row.received] == [
        (3, Decimal("842.00"), Decimal("168.40"), 0),
        (4, 0, 0, Decimal("1130.40")),
        (7, Decimal("500.00"), 0, 0),
    ]  # fmt: skip
    assert [(row.words, row.net, row.tax) for row in year.taxes] == [
        ("20 %", Decimal("842.00"), Decimal("168.40")),
        ("Export", Decimal("500.00"), 0),
    ]


def test_templates_show_orders_and_what_closed_builds_earned():
    year = books(
        orders=[
            AcceptedOrder(
                on=date(2027, 3, 2), template="Guitar", client_kind="player", net=Decimal(3000)
            ),
            AcceptedOrder(
                on=date(2027, 5, 2), template="Mandolin", client_kind="dealer", net=Decimal(4000)
            ),
        ],
        closed=[
            ClosedBuild(
                template="Guitar", client_kind="player", hours=Decimal(50), left=Decimal(2000)
            ),
            ClosedBuild(
                template="Guitar", client_kind="player", hours=Decimal(100), left=Decimal(3000)
            ),
            ClosedBuild(
                template="Guitar", client_kind="without a quote", hours=Decimal(60), left=None
            ),
        ],
    )
    assert [(r.name, r.accepted, r.net, r.closed, r.hours, r.hourly) for r in year.templates] == [
        ("Mandolin", 1, 4000, 0, 0, None),
        # 5,000 over the 150 h of the two that had a price; the third has no say.
        ("Guitar", 1, 3000, 3, 210, Decimal("33.33")),
    ]
    assert {row.name for row in year.clients} == {"dealer", "player", "without a quote"}


@given(st.lists(st.tuples(st.dates(date(2027, 1, 1), date(2027, 12, 31)), FIGURES, FIGURES)))
def test_months_and_tax_rows_both_add_up_to_the_invoices(rows):
    sent = [invoice(on, net, tax, f"{on.month % 3} %") for on, net, tax in rows]
    year = books(invoices=sent)
    assert year.invoiced == sum(one.home_net for one in sent)
    assert year.invoiced == sum(row.net for row in year.taxes)
    assert year.tax == sum(row.tax for row in year.taxes)


@given(
    net=cents(),
    tax=cents(),
    sign=st.sampled_from([1, -1]),
    parts=st.lists(st.integers(1, 99), min_size=1),
)
def test_an_invoice_in_home_money_is_cut_to_its_rates_without_a_rest(net, tax, sign, parts):
    groups = [(f"{place} %", Decimal(sign * n), Decimal(sign * n)) for place, n in enumerate(parts)]
    cut = home_groups(sign * net, sign * tax, groups)
    assert sum(one[1] for one in cut) == sign * net
    assert sum(one[2] for one in cut) == sign * tax


def test_supplies_to_other_member_states_are_added_up_by_tax_number():
    words = REASONS[TaxCategory.INTRA_COMMUNITY]
    shop = {"words": words, "client": "Fern & Burrow", "number": "BE0123456749"}
    year = books(
        invoices=[
            invoice(date(2027, 3, 2), "900.00", "0", **shop),
            invoice(date(2027, 5, 2), "-100.00", "0", **shop),
            invoice(date(2027, 4, 2), "50.00", "0", words, "Toad Hall Strings", "AT U12345675"),
            invoice(date(2027, 4, 3), "70.00", "14.00"),
        ]
    )
    assert [(row.number, row.client, row.net) for row in year.union] == [
        ("AT U12345675", "Toad Hall Strings", Decimal("50.00")),
        ("BE0123456749", "Fern & Burrow", Decimal("800.00")),
    ]
