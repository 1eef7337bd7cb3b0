"""Suppliers' bills: entered, checked against deliveries, paid, added up, on pages and over the API.

Figures by hand. Spruce and maple came for 192.00 and 90.11 with 24.00 carriage: 306.11 net.
At 23 % the tax is 70.4053, to the cent 70.41, and the gross 376.52.
"""

from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Bill, Delivery
from inventory.purchasing.forms.bills import BillForm
from inventory.purchasing.queries.bills import (
    BillsAsked,
    bills_asked_for,
    check_bill,
    sums_of_bills,
    year_purchases,
)
from inventory.purchasing.queries.deliveries import received_by
from inventory.purchasing.services.bills import (
    NewBill,
    correct_bill,
    cover_deliveries,
    enter_bill,
    pay_bill,
    void_bill,
)
from inventory.purchasing.services.deliveries import receive_delivery
from tests.factories import NOW, TODAY, make_material, make_supplier

pytestmark = pytest.mark.django_db
API = "/api/v1"


@pytest.fixture
def timber(workshop):
    return make_supplier()


def received(supplier, *prices, carriage="0", **fields):
    lines = [
        NewLine(material=make_material(), quantity=Decimal(6), price=Decimal(p)) for p in prices
    ]
    return receive_delivery(
        received_on=TODAY,
        lines=lines,
        now=NOW,
        supplier=supplier,
        carriage=Decimal(carriage),
        **fields,
    )


@pytest.fixture
def wood(timber):
    tax = Decimal("70.41")
    return received(timber, "192.00", "90.11", carriage="24.00", tax=tax, reference="B-2291")


def a_bill(supplier, number="B-2291", net="306.11", tax="70.41", **fields):
    asked = {"supplier": supplier, "number": number, "billed_on": TODAY} | fields
    return NewBill(net=Decimal(net), tax=Decimal(tax), **asked)


def entered(supplier, *args, **fields):
    return enter_bill(bill=a_bill(supplier, *args, **fields), now=NOW)


def test_a_bill_that_agrees_with_its_deliveries_says_so(timber, wood):
    row = entered(timber, deliveries=[wood])
    check = check_bill(row)
    assert (row.total, check.agrees) == (Decimal("376.52"), True)
    code = row.currency
    assert check.words == (
        f"Net agrees with what was delivered: 282.11 {code} goods and 24.00 {code} carriage. "
        "Tax agrees."
    )


def test_the_difference_to_the_deliveries_is_told_in_words(timber, wood):
    """310.11 is 4.00 above 306.11; 71.33 tax is 0.92 above 70.41."""
    row = entered(timber, net="310.11", tax="71.33", deliveries=[wood])
    check, code = check_bill(row), row.currency
    assert (check.difference, check.tax_difference) == (Decimal("4.00"), Decimal("0.92"))
    assert check.words == (
        f"Net is 4.00 {code} more than what was delivered: 282.11 {code} goods and "
        f"24.00 {code} carriage. "
        f"Tax is 0.92 {code} more than the 70.41 {code} booked with the deliveries."
    )


def test_one_bill_covers_several_deliveries(timber, wood):
    """306.11 and 50.00 delivered, 350.00 billed: 6.11 less."""
    more = received(timber, "50.00")
    row = entered(timber, net="350.00", deliveries=[wood, more])
    assert check_bill(row).difference == Decimal("-6.11")


def test_tax_that_can_t_be_reclaimed_is_part_of_the_cost_and_agrees(timber):
    """Goods of 100.00 and 23.00 tax that stays: the delivery has it as duty, the bill as tax."""
    goods = received(timber, "100.00", duty=Decimal(23))
    row = entered(timber, net="100.00", tax="23.00", deliveries=[goods])
    assert check_bill(row).agrees


def test_a_foreign_bill_is_checked_in_its_own_currency_and_booked_in_home_money(timber):
    """100.00 and 10.01 carriage at 1.1 USD to one: 110.01 net.

    In home money 110.01 / 1.1 = 100.009.., so 100.01; tax 0.
    The carriage is 10.01 / 1.1 = 9.10 at home; back it would be 10.01 or not: so it is kept.
    """
    money = {"currency": "USD", "rate": Decimal("1.1")}
    goods = received(timber, "100.00", carriage="10.01", **money)
    row = entered(timber, net="110.01", tax="0", deliveries=[goods], **money)
    assert (row.home_net, row.home_tax) == (Decimal("100.01"), Decimal(0))
    check = check_bill(row)
    assert (check.currency, check.difference) == ("USD", Decimal(0))


def test_a_bill_in_another_currency_than_its_delivery_is_checked_in_home_money(timber):
    """110.00 USD at 1.1 is 100.00 at home, 2.00 above the 98.00 that came."""
    goods = received(timber, "98.00")
    row = entered(
        timber, net="110.00", tax="0", deliveries=[goods], currency="USD", rate=Decimal("1.1")
    )
    assert check_bill(row).difference == Decimal("2.00")
    assert check_bill(row).currency != "USD"


def test_a_reversed_delivery_counts_for_nothing_on_its_bill(timber, wood):
    row = entered(timber, deliveries=[wood])
    reverse_groups(entries=received_by(wood), now=NOW, why="typed twice")
    assert check_bill(row) is None
    with pytest.raises(Refusal, match="was reversed"):
        cover_deliveries(bill=row, deliveries=[wood])


@pytest.mark.parametrize(
    ("fields", "sentence", "field"),
    [
        ({"gross": Decimal(376)}, "306.11 net and 70.41 tax make 376.52, not 376", "gross"),
        ({"net": "0", "tax": "0"}, "what the bill comes to", "net"),
        ({"tax": "-1"}, "both below 0 on a credit note", "tax"),
        ({"net": "0.001"}, "steps of 0.01", "net"),
        ({"due_on": date(2027, 3, 8)}, "due day is before", "due_on"),
        ({"currency": "QQQ"}, "not an ISO 4217", "currency"),
        ({"currency": "USD"}, "needs the exchange rate", "rate"),
        ({"currency": "USD", "rate": Decimal("0.00000001")}, "check it", "rate"),
        ({"billed_on": date(1899, 1, 1)}, "can't be", "billed_on"),
    ],
    ids=str,
)
def test_a_bill_that_can_t_be_right_is_refused_at_its_field(timber, fields, sentence, field):
    if fields.get("rate") == Decimal("0.00000001"):
        fields = fields | {"net": "5000.00"}
    with pytest.raises(Refusal, match=sentence) as refused:
        entered(timber, **fields)
    assert refused.value.field == field
    assert not Bill.objects.exists()


def test_a_bill_is_entered_once_and_again_after_it_was_void(timber):
    row = entered(timber)
    with pytest.raises(Refusal, match=r"B-2291 of .* was entered already"):
        entered(timber)
    void_bill(bill=row, why="wrong supplier")
    assert entered(timber).pk != row.pk
    with pytest.raises(Refusal, match="is void: wrong supplier"):
        pay_bill(bill=row, paid_on=TODAY, now=NOW)


def test_a_delivery_is_on_one_bill_only(timber, wood):
    entered(timber, deliveries=[wood])
    with pytest.raises(Refusal, match="is on bill B-2291 already"):
        entered(timber, "B-2292", deliveries=[wood])
    assert Bill.objects.count() == 1


def test_another_supplier_s_delivery_is_refused(timber, wood):
    other = make_supplier("Pegs & Pins")
    with pytest.raises(Refusal, match="covers deliveries of Pegs & Pins only"):
        entered(other, deliveries=[wood])


def test_a_corrected_bill_leaves_the_wrong_one_in_sight(timber, wood):
    wrong = entered(timber, net="360.11", deliveries=[wood])
    right = correct_bill(
        bill=wrong, right=a_bill(timber, deliveries=[wood]), why="turned digits", now=NOW
    )
    wrong.refresh_from_db()
    wood.refresh_from_db()
    assert (wrong.net, wrong.void_why) == (Decimal("360.11"), "turned digits")
    assert (wood.bill, check_bill(right).agrees) == (right, True)


def three_bills(timber):
    """Enter 306.11 + 70.41 in March, 110.00 USD at 1.1 in May, a credit of 61.50 in June."""
    entered(timber, due_on=date(2027, 4, 8))
    usd = {"currency": "USD", "rate": Decimal("1.1"), "billed_on": date(2027, 5, 2)}
    entered(make_supplier("Pegs & Pins"), "77", "110.00", "0", paid_on=date(2027, 5, 2), **usd)
    entered(timber, "C-9", "-50.00", "-11.50", billed_on=date(2027, 6, 1))


def test_a_year_adds_up_by_month_quarter_and_supplier(timber):
    """March 306.11 net and 70.41 tax; May 110.00 / 1.1 = 100.00; June -50.00 and -11.50.

    The second quarter is 100.00 - 50.00 = 50.00 net and -11.50 tax. The year is 356.11 net and
    58.91 tax, 415.02 gross; 100.00 of it is paid, so 315.02 is not. A void bill doesn't count.
    """
    three_bills(timber)
    void_bill(bill=entered(timber, "B-1", "9.00", "0"), why="private")
    entered(timber, "old", "7.00", "0", billed_on=date(2026, 12, 31))
    year = year_purchases(2027)
    by_month = {row.name: (row.net, row.tax) for row in year.months if row.count}
    assert by_month == {
        "3": (Decimal("306.11"), Decimal("70.41")),
        "5": (Decimal("100.00"), Decimal(0)),
        "6": (Decimal("-50.00"), Decimal("-11.50")),
    }
    assert [(row.name, row.net, row.tax) for row in year.quarters[:2]] == [
        ("1", Decimal("306.11"), Decimal("70.41")),
        ("2", Decimal("50.00"), Decimal("-11.50")),
    ]
    assert [(row.name, row.count, row.net) for row in year.suppliers] == [
        ("Bramble & Sons Timber", 2, Decimal("256.11")),
        ("Pegs & Pins", 1, Decimal("100.00")),
    ]
    assert (year.total.net, year.total.tax) == (Decimal("356.11"), Decimal("58.91"))
    assert (year.total.gross, year.unpaid) == (Decimal("415.02"), Decimal("315.02"))


def test_bills_are_filtered_and_added_up_by_currency(timber):
    """At home 306.11 - 50.00 = 256.11 net, 58.91 tax; unpaid 376.52 - 61.50 = 315.02."""
    three_bills(timber)
    sums = {one.currency: one for one in sums_of_bills(bills_asked_for(BillsAsked(), TODAY))}
    home = sums.pop("EUR")
    assert (home.net, home.tax, home.unpaid) == tuple(map(Decimal, ("256.11", "58.91", "315.02")))
    assert (sums["USD"].net, sums["USD"].home_net, sums["USD"].unpaid) == (110, 100, 0)

    def numbers(on=TODAY, **asked):
        return [row.number for row in bills_asked_for(BillsAsked(**asked), on)]

    assert numbers() == ["C-9", "77", "B-2291"]
    assert numbers(state="open") == ["C-9", "B-2291"]
    assert numbers(state="overdue", on=date(2027, 4, 8)) == []
    # A credit note is no debt, so none is overdue.
    assert numbers(state="overdue", on=date(2027, 7, 9)) == ["B-2291"]
    assert numbers(state="paid") == ["77"]
    assert numbers(year=2027, quarter=2) == ["C-9", "77"]
    assert numbers(search="pegs") == ["77"]


def test_the_pages_enter_check_pay_correct_and_void_a_bill(desk, timber, wood):
    empty = desk.get(reverse("bills")).content.decode()
    assert "No bills yet" in empty
    assert reverse("new_bill") in empty
    begun = desk.get(reverse("new_bill"), {"delivery": wood.pk}).context["form"]
    typed = {
        "supplier": timber.pk,
        "number": begun["number"].value(),
        "billed_on": f"{TODAY}",
        "net": f"{begun['net'].value()}",
        "tax": "70.41",
        "gross": "376.52",
        "deliveries": [wood.pk],
    }
    assert typed["net"] == "306.11"
    wrong = desk.post(reverse("new_bill"), typed | {"gross": "375.52"})
    assert wrong.status_code == 409
    assert "make 376.52, not 375.52" in wrong.content.decode()
    desk.post(reverse("new_bill"), typed)
    row = Bill.objects.get()
    page = desk.get(reverse("bill", args=[row.pk])).content.decode()
    assert "Net agrees with what was delivered" in page
    assert (
        reverse("bill", args=[row.pk])
        in desk.get(reverse("delivery", args=[wood.pk])).content.decode()
    )
    desk.post(reverse("pay_bill", args=[row.pk]), {"paid_on": "2027-03-20"})
    row.refresh_from_db()
    assert row.paid_on == date(2027, 3, 20)
    desk.post(reverse("pay_bill", args=[row.pk]), {"unpaid": ""})
    row.refresh_from_db()
    assert row.paid_on is None
    desk.post(reverse("cover_deliveries", args=[row.pk]), {})
    assert not Delivery.objects.filter(bill=row).exists()
    change = typed | {"net": "300.00", "gross": "370.41", "why": "typed from the order"}
    desk.post(reverse("correct_bill", args=[row.pk]), change)
    right = Bill.objects.get(void_why="")
    assert (right.net, Delivery.objects.get().bill) == (Decimal("300.00"), right)
    assert "6.11 EUR less than" in desk.get(reverse("bill", args=[right.pk])).content.decode()
    desk.post(reverse("void_bill", args=[right.pk]), {"why": "private"})
    assert "is void: private" in desk.get(reverse("bill", args=[right.pk])).content.decode()


def test_the_list_goes_out_as_csv_in_its_own_order(desk, timber):
    three_bills(timber)
    answer = desk.get(reverse("bills"), {"sort": "-gross", "as": "csv"})
    head, *rows = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert head.startswith("Date,Supplier,Number,Due,Currency,Net,Tax,Gross")
    assert [row.split(",")[2] for row in rows] == ["B-2291", "77", "C-9"]
    assert "376.520" in rows[0]


def test_the_year_goes_out_as_page_csv_and_workbook(desk, timber):
    three_bills(timber)
    page = desk.get(reverse("purchases", args=[2027])).content.decode()
    assert "415.02" in page
    assert "315.02" in page
    csv = desk.get(reverse("purchases_csv", args=[2027, "quarters"])).content.decode("utf-8-sig")
    assert csv.splitlines()[:3] == [
        "quarter,bills,net EUR,tax EUR,gross EUR",
        "1,1,306.11,70.41,376.52",
        "2,2,50.00,-11.50,38.50",
    ]
    book = load_workbook(BytesIO(desk.get(reverse("purchases_xlsx", args=[2027])).content))
    assert book.sheetnames == ["months", "quarters", "suppliers", "bills"]
    assert [cell.value for cell in book["bills"][2]][1:4] == [
        "Bramble & Sons Timber", "B-2291", book["bills"]["D2"].value,
    ]  # fmt: skip
    assert desk.get(reverse("purchases_csv", args=[2027, "nothing"])).status_code == 404
    assert (
        "No bills of this year yet" in desk.get(reverse("purchases", args=[2020])).content.decode()
    )


def test_the_api_does_all_that_the_pages_do(phone, timber, wood):
    body = {
        "supplier": timber.pk,
        "number": "B-2291",
        "billed_on": "2027-03-09",
        "net": "310.11",
        "tax": "70.41",
        "deliveries": [wood.pk],
    }
    made = phone.post(f"{API}/bills/", body).json()
    assert (made["gross"], made["check"]["difference"]) == ("380.520", "4.000")
    here = f"{API}/bills/{made['id']}"
    assert phone.post(f"{API}/bills/", body | {"deliveries": []}).status_code == 409
    assert phone.post(f"{here}/pay/", {"paid_on": "2027-03-20"}).json()["paid_on"] == "2027-03-20"
    assert phone.post(f"{here}/pay/", {"paid_on": None}).json()["paid_on"] is None
    assert phone.post(f"{here}/cover/", {"deliveries": []}).json()["check"] is None
    right = phone.post(f"{here}/correct/", body | {"net": "306.11", "why": "turned digits"}).json()
    assert right["check"]["agrees"]
    assert phone.get(f"{here}/").json()["void_why"] == "turned digits"
    year = phone.get(f"{API}/purchases/2027/").json()
    assert (year["total"]["gross"], year["unpaid"]) == ("376.520", "376.520")
    assert len(phone.get(f"{API}/bills/?paid_on__isnull=true").json()["results"]) == 2
    tables = phone.get(f"{API}/purchases/2027/tables/")
    assert load_workbook(BytesIO(tables.content)).sheetnames[0] == "months"
    void = phone.post(f"{API}/bills/{right['id']}/void/", {"why": "private"}).json()
    assert (void["void_why"], void["deliveries"]) == ("private", [])


@pytest.mark.parametrize("count", [1, 25])
def test_the_list_takes_a_fixed_number_of_queries(desk, timber, count, django_assert_num_queries):
    for number in range(count):
        entered(timber, f"{number}")
    desk.get(reverse("bills"))
    with django_assert_num_queries(9):
        desk.get(reverse("bills"))


def test_a_rate_is_typed_with_a_comma_or_a_point(timber):
    typed = {"supplier": timber.pk, "number": "9", "billed_on": f"{TODAY}", "net": "117"}
    for rate in ("1,17", "1.17"):
        form = BillForm(typed | {"currency": "usd", "rate": rate})
        assert form.is_valid(), form.errors
        assert form.to_bill().rate == Decimal("1.17")
