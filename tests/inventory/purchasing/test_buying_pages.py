"""From what to buy to order sheets, to deliveries in parts, in foreign money."""

import csv
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.ledger.services.demand import NeededLine, replace_demand
from inventory.models import Credit, Delivery, KeptAs, Order, PriceBreak, PriceNote
from inventory.purchasing.services.deliveries import return_to_supplier
from inventory.purchasing.services.orders import ToOrder, make_orders, send_order
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.purchasing.test_deliveries import HEAD, lines
from tests.inventory.stocked import stocked, stocked_pieces


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def need(material, quantity):
    line = NeededLine(material=material, quantity=Decimal(quantity), line="1")
    replace_demand(holder=f"build:{material.pk}", holder_name="2027-03 for Osric", needs=[line])


@pytest.fixture
def order(workshop):
    """Ten nuts at 4.00, sent in dollars."""
    supplier = make_supplier("Quill Hardware", currency="USD", contact="1 Quill Lane")
    nut = make_material("Nut blank, bone", supplier=supplier)
    line = ToOrder(material=nut, quantity=Decimal(10), price=Decimal("4.00"))
    (order,) = make_orders(lines=[line], on=TODAY)
    return send_order(order=order, on=TODAY)


def test_one_click_makes_a_sheet_for_each_supplier(desk):
    for number in range(3):
        need(
            make_material(supplier=make_supplier(f"supplier {number % 2}") if number < 2 else None),
            4,
        )
    forms = desk.get(reverse("to_buy")).context["rows"]
    data = {
        f"buy-{form.buy.material.pk}-chosen": "on"
        for form, _ in forms
        if form.buy.material.supplier
    }
    answer = desk.post(reverse("to_buy"), data)
    assert answer.url == reverse("orders")
    assert sorted(str(order) for order in Order.objects.all()) == [
        f"{order.number} to {order.supplier}" for order in Order.objects.order_by("number")
    ]
    assert Order.objects.count() == 2
    assert len(desk.get(reverse("to_buy")).context["rows"]) == 1


def test_more_than_is_short_may_be_ordered(desk):
    material = make_material(supplier=make_supplier())
    need(material, 4)
    data = {f"buy-{material.pk}-chosen": "on", f"buy-{material.pk}-quantity": "1 doz"}
    desk.post(reverse("to_buy"), data)
    assert Order.objects.get().lines.get().quantity == 12


@pytest.mark.parametrize(
    ("data", "status", "words"),
    [
        ({}, 409, "at least one material"),
        ({"chosen": "on"}, 409, "no supplier"),
        ({"chosen": "on", "quantity": "some"}, 422, "is not a quantity"),
    ],
)
def test_an_order_that_can_t_be_made_is_said(desk, data, status, words):
    material = make_material("orphan")
    need(material, 4)
    data = {f"buy-{material.pk}-{name}": value for name, value in data.items()}
    answer = desk.post(reverse("to_buy"), data)
    assert answer.status_code == status
    assert words in answer.content.decode()


def test_a_draft_is_changed_and_a_line_taken_off(desk):
    supplier = make_supplier()
    rows = [make_material(supplier=supplier) for _ in range(2)]
    (order,) = make_orders(
        lines=[ToOrder(material=row, quantity=Decimal(1)) for row in rows], on=TODAY
    )
    first, second = order.lines.all()
    data = {
        f"line-{first.pk}-quantity": "6",
        f"line-{first.pk}-price": "2.35",
        f"line-{second.pk}-quantity": "0",
        f"line-{second.pk}-price": "0",
        "note": "By post, please.",
    }
    desk.post(reverse("order", args=[order.pk]), data)
    line = order.lines.get()
    assert (line.quantity, line.price) == (6, Decimal("2.35"))
    page = desk.get(reverse("order", args=[order.pk]))
    assert page.context["paper"].total == Decimal("14.10")


def test_a_sent_sheet_stays_as_it_was_sent(desk, order):
    before = desk.get(reverse("order_pdf", args=[order.pk])).content
    line = order.lines.get()
    data = {f"line-{line.pk}-quantity": "99", f"line-{line.pk}-price": "1", "note": ""}
    assert desk.post(reverse("order", args=[order.pk]), data).status_code == 409
    order.supplier.contact = "2 Moved Away"
    order.supplier.save()
    assert desk.get(reverse("order_pdf", args=[order.pk])).content == before


def test_the_sheet_names_goods_quantities_and_their_sum(desk, order):
    content = desk.get(reverse("order_pdf", args=[order.pk])).content
    text = PdfReader(BytesIO(content)).pages[0].extract_text()
    for words in ("Nut blank, bone", "10", "40.00", "USD", "Quill Lane", order.number):
        assert words in text


def test_an_order_comes_in_two_parts_and_is_then_closed(desk, order):
    line = order.lines.get()
    for quantity, came in (("4", 4), ("6", 10)):
        page = desk.get(reverse("new_delivery"), {"order": order.pk})
        assert page.context["lines"].forms[0].initial["order_line"] == line.pk
        row = {
            "material": line.material.name,
            "quantity": quantity,
            "price": "12.00",
            "order_line": line.pk,
        }
        head = {**HEAD, "currency": "USD", "rate": "1.2", "carriage": "0", "book": ""}
        desk.post(reverse("new_delivery"), {**head, **lines(row)})
        line.refresh_from_db()
        assert line.received == came
        order.refresh_from_db()
        assert (order.closed_on is None) == (came < 10)


def test_foreign_money_turns_into_home_money_at_the_day_s_rate(desk):
    material = make_material("heads")
    row = {"material": "heads", "quantity": "4", "price": "117.00"}
    head = {**HEAD, "currency": "usd", "rate": "1.17", "carriage": "11.70", "tax": "21.00"}
    desk.post(reverse("new_delivery"), {**head, **lines(row), "book": ""})
    delivery = Delivery.objects.get()
    line = delivery.lines.get()
    # 117.00 / 1.17 = 100.00, and 11.70 / 1.17 = 10.00 of carriage; the tax comes back
    assert (line.price, line.foreign_price, line.landed_cost) == (100, 117, 110)
    assert (delivery.carriage, delivery.tax, delivery.currency) == (10, 21, "USD")
    material.refresh_from_db()
    assert material.book_cost == 110


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ({"currency": "USD"}, "Enter the exchange rate"),
        ({"currency": "XYZ", "rate": "1"}, "not an ISO 4217 currency code"),
        ({"currency": "USD", "rate": "0"}, "has to be at least"),
        ({"currency": "JPY", "rate": "160", "carriage": "10.5"}, "steps of 1"),
    ],
)
def test_foreign_money_that_can_t_be_turned_is_said(desk, head, words):
    make_material("heads")
    row = {"material": "heads", "quantity": "4", "price": "117"}
    answer = desk.post(reverse("new_delivery"), {**HEAD, **head, **lines(row), "book": ""})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Delivery.objects.exists()


def test_prices_asked_and_paid_make_a_history_with_a_picture(desk):
    material = stocked(KeptAs.LENGTH, 6000, price="30.00", unit="m")
    data = {"replacement_price": "5.50", "replacement_checked_on": "2027-06-20"}
    desk.post(reverse("check_price", args=[material.pk]), data)
    notes = list(PriceNote.objects.values_list("price", "kind"))
    assert notes == [(Decimal("5.0000"), "paid"), (Decimal("5.5000"), "replacement")]
    page = desk.get(reverse("prices", args=[material.pk])).content.decode()
    assert "<polyline" in page
    assert "paid, landed" in page


def test_a_price_break_is_added_replaced_and_forgotten(desk):
    material = make_material()
    address = reverse("prices", args=[material.pk])
    desk.post(address, {"least": "10", "price": "1.80"})
    desk.post(address, {"least": "10", "price": "1.70"})
    row = PriceBreak.objects.get()
    assert row.price == Decimal("1.70")
    assert desk.post(address, {"least": "0", "price": "1"}).status_code == 422
    desk.post(reverse("remove_break", args=[row.pk]))
    assert not PriceBreak.objects.exists()


def test_what_a_supplier_owes_is_listed_until_it_is_settled(desk):
    _, (lot, _) = stocked_pieces(price="64.00")
    lot.supplier = make_supplier()
    lot.save()
    return_to_supplier(
        lot=lot, quantity=Decimal(1), credit=Decimal("32.00"), why="run-out", now=NOW
    )
    assert "32.00" in desk.get(reverse("orders")).content.decode()
    credit = Credit.objects.get()
    desk.post(reverse("settle_credit", args=[credit.pk]))
    assert desk.get(reverse("orders")).context["credits"] == []
    page = desk.post(reverse("settle_credit", args=[credit.pk]), follow=True)
    assert "was settled" in page.content.decode()


def test_an_empty_draft_is_not_sent(desk):
    (order,) = make_orders(
        lines=[ToOrder(material=make_material(supplier=make_supplier()), quantity=Decimal(1))],
        on=TODAY,
    )
    order.lines.all().delete()
    page = desk.post(reverse("order", args=[order.pk]), {"note": "", "send": ""})
    assert page.status_code == 409
    assert "has no lines" in page.content.decode()


def test_what_was_typed_into_a_draft_is_kept_as_it_is_sent(desk):
    material = make_material(supplier=make_supplier())
    (order,) = make_orders(lines=[ToOrder(material=material, quantity=Decimal(1))], on=TODAY)
    line = order.lines.get()
    data = {f"line-{line.pk}-quantity": "3", f"line-{line.pk}-price": "12.50", "note": "Soon."}
    desk.post(reverse("order", args=[order.pk]), {**data, "send": ""})
    order.refresh_from_db()
    line.refresh_from_db()
    assert order.sent_on
    assert (order.note, line.quantity, line.price) == ("Soon.", 3, Decimal("12.50"))


def test_a_draft_that_is_put_away_was_never_sent(desk):
    material = make_material(supplier=make_supplier())
    (order,) = make_orders(lines=[ToOrder(material=material, quantity=Decimal(1))], on=TODAY)
    page = desk.post(reverse("close_order", args=[order.pk]), follow=True).content.decode()
    assert "not sent" in page
    assert "Not sent" in page


def test_a_closed_order_is_expected_no_more(desk, order):
    desk.post(reverse("close_order", args=[order.pk]))
    order.refresh_from_db()
    assert order.closed_on


@pytest.mark.parametrize("rows", [1, 25])
def test_orders_and_what_to_buy_take_a_fixed_number_of_queries(
    desk, django_assert_num_queries, rows
):
    for number in range(rows):
        material = make_material(supplier=make_supplier(f"s {number}"))
        make_orders(lines=[ToOrder(material=material, quantity=Decimal(1))], on=TODAY)
        need(material, 4)
    with django_assert_num_queries(6):
        desk.get(reverse("orders"))
    with django_assert_num_queries(9):
        desk.get(reverse("to_buy"))
    order = Order.objects.first()
    with django_assert_num_queries(7):
        desk.get(reverse("order", args=[order.pk]))


def test_a_long_list_to_buy_comes_in_pages_and_whole_as_a_file(desk, workshop):
    for number in range(60):
        make_material(f"Part {number:02}", reorder_level=5)
    page = desk.get(reverse("to_buy"))
    assert (len(page.context["rows"]), page.context["list"].page.paginator.count) == (50, 60)
    second = desk.get(reverse("to_buy") + "?page=2")
    assert second.context["rows"][0][0].buy.material.name == "Part 50"
    told = b"".join(desk.get(reverse("to_buy") + "?as=csv").streaming_content)
    assert told.count(b"reorder level") == 60


def test_page_and_file_say_the_same_of_an_order_of_which_a_part_has_come(desk):
    supplier = make_supplier()
    lines = [
        ToOrder(material=make_material(name, supplier=supplier), quantity=Decimal(2))
        for name in ("Ash", "Birch")
    ]
    (order,) = make_orders(lines=lines, on=TODAY)
    Order.objects.filter(pk=order.pk).update(sent_on=TODAY)
    assert statuses(desk) == ("sent", True, False)
    order.lines.filter(material__name="Ash").update(received=2)
    assert statuses(desk) == ("part received", False, True)


def statuses(desk):
    """The status in the file, and whether the page says sent, and part received."""
    told = b"".join(desk.get(f"{reverse('orders')}?as=csv").streaming_content)
    (row,) = csv.DictReader(StringIO(told.decode("utf-8-sig")))
    page = desk.get(reverse("orders")).content.decode()
    return row["Status"], "</svg>sent</span>" in page, "</svg>part received</span>" in page


def ticked(*materials):
    return {f"buy-{row.pk}-chosen": "on" for row in materials}


def test_rows_stay_with_what_was_ticked_though_the_page_has_changed_meanwhile(desk, workshop):
    """Ten more that come first push the row to the second page: it is ordered all the same."""
    supplier = make_supplier("Bramble & Sons Timber")
    last = make_material("Zebrano", supplier=supplier, reorder_level=5)
    for number in range(60):
        make_material(f"Part {number:02}", supplier=supplier, reorder_level=5)
    assert desk.post(reverse("to_buy"), ticked(last)).status_code == 302
    assert [line.material for line in Order.objects.get().lines.all()] == [last]


def test_what_was_ticked_and_is_covered_by_now_is_told_and_nothing_is_ordered(desk, workshop):
    supplier = make_supplier("Bramble & Sons Timber")
    ash, birch = (make_material(n, supplier=supplier, reorder_level=5) for n in ("Ash", "Birch"))
    lines = [ToOrder(material=ash, quantity=Decimal(5))]
    make_orders(lines=lines, on=TODAY)
    answer = desk.post(reverse("to_buy"), ticked(ash, birch))
    assert answer.status_code == 409
    assert "Meanwhile no longer short: Ash." in answer.content.decode()
    assert Order.objects.get().lines.count() == 1
