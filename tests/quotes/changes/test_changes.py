"""Changes after acceptance: priced, agreed, paid ahead, dated, and kept beside what was ordered."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given

from inventory.base.refusals import Refusal
from quotes.changes.calc import change_price, in_clients_money
from quotes.changes.queries import specification_steps, standings_of, worked_out
from quotes.changes.services import offer_change, record_change_decision
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.pricing.queries.taxing import taxed_change
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy, make_quote
from tests.quotes.strategies import cents, percents
from tests.shop.factories import make_template, make_template_line, make_template_stage

SEVEN = Decimal("0.07")


@given(hours=percents(most=40), cost=cents(most=90_000), rate=cents(most=9_000))
def test_a_change_is_the_sum_of_what_it_is_made_from(hours, cost, rate):
    figure = change_price(hours=hours, cost=cost, shop_rate=rate, markup_percent=Decimal(25))
    assert figure.amount == sum(part.amount for part in figure.parts)
    assert figure.amount % Decimal("0.01") == 0


def test_a_pickup_fitted_later():
    # 2.5 h at 45.00 and a pickup of 85.00 at 25 %: 112.50 + 85.00 + 21.25; at 1.17 and 2 %.
    figure = change_price(
        hours=Decimal("2.5"), cost=Decimal(85), shop_rate=Decimal(45), markup_percent=Decimal(25)
    )
    assert figure.amount == Decimal("218.75")
    assert in_clients_money(figure.amount, Decimal("1.17"), Decimal(2)) == Decimal("261.06")


@pytest.fixture
def draft(workshop, settings, tmp_path, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", cost_likely=Decimal(40))
    return make_quote(template=template, on=TODAY)


def accept(draft, **fields):
    edit_quote(quote=draft, specification="Nut 29 mm.", **fields)
    sent = issue_quote(quote=draft, on=TODAY, now=NOW)
    return accept_quote(quote=sent, on=TODAY, now=NOW, by="Osric").quote


@pytest.fixture
def ordered(draft):
    return accept(draft)


PICKUP = {"title": "Pickup", "hours": Decimal("2.5"), "cost": Decimal(85), "on": TODAY}


def test_without_a_price_it_is_worked_out_at_the_quote_s_own_rates(ordered):
    make_policy(shop_rate=Decimal(99))
    change = offer_change(quote=ordered, **PICKUP)
    assert (
        change.price == Decimal("218.75") == worked_out(ordered, change.hours, change.cost).amount
    )


def test_abroad_it_is_worked_out_in_the_client_s_money(draft):
    quote = accept(
        draft, currency="USD", exchange_rate=Decimal("1.17"), exchange_rate_on=TODAY,
        currency_buffer=Decimal("0.02"),
    )  # fmt: skip
    assert offer_change(quote=quote, **PICKUP).price == Decimal("261.06")


def test_a_typed_price_is_kept_to_the_minor_unit_of_its_money(ordered):
    assert offer_change(quote=ordered, price=Decimal("45.005"), **PICKUP).price == Decimal("45.01")


@pytest.mark.parametrize("ahead", [True, False])
def test_whether_it_is_paid_ahead_is_the_policy_s(ordered, ahead):
    make_policy(changes_paid_ahead=ahead)
    assert offer_change(quote=ordered, **PICKUP).is_paid_ahead is ahead
    assert offer_change(quote=ordered, is_paid_ahead=not ahead, **PICKUP).is_paid_ahead is not ahead


def standing(change):
    [found] = standings_of([change], [change.quote.commission.client], TODAY)
    return found.words, found.waits


def test_it_waits_until_its_money_is_there(ordered):
    change = offer_change(quote=ordered, **PICKUP)
    assert standing(change) == ("offered", False)
    change = record_change_decision(change=change, agreed=True, now=NOW)
    assert standing(change) == ("agreed, to be invoiced and paid in advance", True)
    invoice = issue_invoice(quote=ordered, change=change, on=TODAY)
    assert standing(change) == ("agreed, invoiced, to be paid in advance", True)
    record_payment(
        client=ordered.commission.client, commission=ordered.commission, invoice=invoice,
        amount=invoice.gross, received_on=TODAY, now=NOW,
    )  # fmt: skip
    assert standing(change) == ("agreed and paid", False)


def test_an_invoice_that_was_taken_back_pays_for_nothing(ordered):
    change = record_change_decision(
        change=offer_change(quote=ordered, **PICKUP), agreed=True, now=NOW
    )
    invoice = issue_invoice(quote=ordered, change=change, on=TODAY)
    credit_invoice(invoice=invoice, on=TODAY, why="wrong sum")
    assert standing(change) == ("agreed, to be invoiced and paid in advance", True)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"is_paid_ahead": False}, "agreed, to be invoiced and paid with the balance"),
        ({"is_billed": False}, "agreed, nothing to pay"),
        ({"price": Decimal(-40)}, "agreed, to be invoiced and paid in advance"),
    ],
    ids=["with the balance", "given away", "less"],
)
def test_what_is_not_paid_ahead_does_not_wait(ordered, fields, words):
    change = record_change_decision(
        change=offer_change(quote=ordered, **PICKUP | fields), agreed=True, now=NOW
    )
    assert standing(change) == (words, False)


def test_the_specification_grows_by_what_was_agreed_and_keeps_what_was_declined_out(ordered):
    first = offer_change(quote=ordered, words="A pickup under the bridge.", days_added=5, **PICKUP)
    refused = offer_change(quote=ordered, title="Wider nut", price=Decimal(80), on=TODAY)
    promised = ordered.build.promised_on
    record_change_decision(change=first, agreed=True, now=NOW)
    record_change_decision(change=refused, agreed=False, now=NOW)
    steps = specification_steps(ordered)
    assert [step.words for step in steps] == ["Nut 29 mm.", "A pickup under the bridge."]
    assert steps[1].at == NOW
    ordered.build.refresh_from_db()
    assert ordered.build.promised_on == promised + timedelta(days=5)
    assert [change.state for change in ordered.changes.all()] == ["agreed", "declined"]


@pytest.mark.parametrize(
    ("fields", "rate", "gross"),
    [
        ({}, "20 %", Decimal("120.00")),
        ({"tax_kind": "S", "tax_rate": Decimal("0.07")}, "7 %", Decimal("107.00")),
        ({"tax_kind": "E"}, "Exempt from tax", Decimal("100.00")),
    ],
    ids=["as the instrument", "a rate of its own", "exempt"],
)
def test_it_is_taxed_as_the_instrument_or_at_its_own_rate(ordered, fields, rate, gross):
    change = offer_change(
        quote=ordered, title="Method book", price=Decimal(100), on=TODAY, **fields
    )
    change = record_change_decision(change=change, agreed=True, now=NOW)
    [group] = taxed_change(change).groups
    invoice = issue_invoice(quote=ordered, change=change, on=TODAY)
    assert (group.rate.words, invoice.gross) == (rate, gross)
    assert Decimal(change.frozen["paper"]["totals"]["gross"]) == gross


def test_abroad_its_own_rate_holds_as_little_as_that_of_a_row(draft):
    quote = accept(draft, tax_kind="G", tax_rate=Decimal(0))
    change = offer_change(
        quote=quote, title="Book", price=Decimal(100), tax_kind="S", tax_rate=SEVEN, on=TODAY
    )
    assert taxed_change(change).due == 100


@pytest.mark.parametrize(
    ("fields", "field"),
    [({"tax_kind": "S"}, "tax_rate"), ({"tax_rate": SEVEN}, "tax_kind")],
    ids=["no rate", "no kind"],
)
def test_kind_and_rate_of_its_tax_go_together(ordered, fields, field):
    with pytest.raises(Refusal) as refused:
        offer_change(quote=ordered, title="Book", price=Decimal(9), on=TODAY, **fields)
    assert refused.value.field == field


def test_the_desk_asks_for_the_rate_at_home_only(draft, desk):
    home = accept(draft)
    page = desk.get(f"/quotes/{home.pk}/change/").content.decode()
    assert "as the instrument" in page
    assert "Standard 20 % today" in page
    asked = {"title": "Book", "price": "100", "tax_kind": "S", "tax_rate": "7", "is_billed": "on"}
    desk.post(f"/quotes/{home.pk}/change/", asked)
    change = home.changes.get()
    assert change.tax_rate == SEVEN
    assert "own rate: 7 %" in desk.get(f"/changes/{change.pk}/").content.decode()
    home.tax_kind, home.tax_rate = "G", Decimal(0)
    home.save()
    assert "tax_kind" not in desk.get(f"/quotes/{home.pk}/change/").content.decode()


def test_the_desk_and_the_bench_see_it(ordered, desk):
    asked = {
        "title": "Pickup", "hours": "2.5", "cost": "85", "price": "", "days_added": "5",
        "words": "Under the bridge.", "is_paid_ahead": "on", "is_billed": "on",
    }  # fmt: skip
    page = desk.get(f"/quotes/{ordered.pk}/change/")
    assert page.context["form"]["is_paid_ahead"].value() is True
    answer = desk.post(f"/quotes/{ordered.pk}/change/", asked)
    change = ordered.changes.get()
    assert answer.url == f"/changes/{change.pk}/"
    assert change.price == Decimal("218.75")
    desk.post(f"/changes/{change.pk}/agreed/", {"by": "Osric"})
    assert "not paid yet" in desk.get(f"/changes/{change.pk}/").content.decode()
    for url in (
        f"/quotes/{ordered.pk}/",
        f"/commissions/{ordered.commission_id}/",
        f"/builds/{ordered.build_id}/changes/",
    ):
        text = desk.get(url).content.decode()
        assert "Pickup" in text, url
        assert "paid in advance" in text, url
    assert "Under the bridge." in desk.get(f"/builds/{ordered.build_id}/changes/").content.decode()


def test_a_build_without_changes_says_nothing(ordered, desk):
    assert desk.get(f"/builds/{ordered.build_id}/changes/").content.strip() == b""
    assert desk.get("/builds/999/changes/").content.strip() == b""


def test_the_api_works_the_price_out_too(ordered, phone):
    body = {"quote": ordered.pk, "title": "Pickup", "hours": "2.50", "cost": "85.00"}
    made = phone.post("/api/v1/changes/", body)
    assert (made.status_code, made.data["price"], made.data["is_paid_ahead"]) == (
        201,
        "218.750",
        True,
    )


@pytest.mark.parametrize("count", [1, 12])
def test_a_commission_asks_a_fixed_number_of_questions(
    ordered, desk, count, django_assert_max_num_queries, monkeypatch
):
    monkeypatch.setattr("quotes.invoicing.services.invoices.print_paper", lambda *_, **__: b"%PDF-")
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")
    for _ in range(count):
        change = record_change_decision(
            change=offer_change(quote=ordered, **PICKUP), agreed=True, now=NOW
        )
        issue_invoice(quote=ordered, change=change, on=TODAY)
    with django_assert_max_num_queries(24):
        desk.get(f"/commissions/{ordered.commission_id}/")
