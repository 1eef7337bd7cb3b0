"""Cutting, weighing, counting, ordering and making up over the API."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.counting.services import start_count
from inventory.kits.services import save_recipe
from inventory.ledger.services.demand import NeededLine, replace_demand
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Delivery, KeptAs, Lot, Piece, Place
from inventory.purchasing.services.orders import ToOrder, make_orders, send_order
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"
KEY = {"Idempotency-Key": "once"}


def lot_of(count=1, **fields):
    return stocked_pieces(count, **fields)[1][0]


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_a_board_is_cut_once_however_often_it_is_asked(phone):
    board, blank = lot_of(price="97.78"), make_material("Blank", KeptAs.PIECE)
    part = {"material": blank.pk, "measure": "620", "length_mm": "620"}
    rest = {"material": board.material_id, "measure": "451"}
    body = {"usable": "2320", "parts": [part] * 6, "remnants": [rest], "sure": True}
    for _ in range(2):
        answer = phone.post(f"{API}/lots/{board.number}/cut/", body, headers=KEY)
        assert [row["remaining_cost"] for row in answer.json()][-1] == "19.010"
    assert Lot.objects.filter(cut_from=board).count() == 7
    lost = phone.post(
        f"{API}/lots/{answer.json()[0]['number']}/lose/", {"kind": "normal", "why": "knot"}
    )
    assert lost.status_code == 201
    blank.refresh_from_db()
    assert (blank.on_hand, blank.book_cost) == (5, Decimal("78.77"))


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("cut", {"usable": "0", "parts": []}),
        ("cut", {"usable": "100", "parts": [{"material": 404, "measure": "1"}]}),
        ("lose", {"kind": "sad", "why": "knot"}),
        ("moisture", {"raw": "2.01", "on": "2027-03-09"}),
        ("open", {"on": "someday"}),
    ],
)
def test_what_can_t_be_done_to_a_lot_is_a_problem(phone, path, body):
    answer = phone.post(f"{API}/lots/{lot_of().number}/{path}/", body)
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_moisture_is_noted(phone):
    lot = lot_of()
    answer = phone.post(f"{API}/lots/{lot.number}/moisture/", {"raw": "0.095", "on": "2027-03-09"})
    assert answer.json()["corrected"] == "0.09500"


def test_a_pack_is_opened_and_written_off(phone):
    lot = stocked(KeptAs.MASS, 500, unit="g", open_days=30).lots.get()
    answer = phone.post(f"{API}/lots/{lot.number}/open/", {"on": "2027-03-09"})
    assert answer.json()["expires_on"] == "2027-04-08"
    assert phone.post(f"{API}/lots/{lot.number}/write-off/", {}).status_code == 201
    assert phone.post(f"{API}/lots/{lot.number}/write-off/", {}).status_code == 409


def test_a_shelf_is_counted_from_the_phone(phone):
    material = stocked(quantity=10)
    count = phone.post(f"{API}/counts/", {"name": "year end"}).json()
    (line,) = phone.get(f"{API}/count-lines/", {"count": count["id"]}).json()["results"]
    assert line["expected"] == "10.000"
    body = {"counted": "7", "reason": "given"}
    phone.post(f"{API}/count-lines/{line['id']}/note/", body, headers=KEY)
    assert phone.post(f"{API}/counts/{count['id']}/close/").status_code == 201
    assert phone.post(f"{API}/counts/{count['id']}/close/").status_code == 409
    material.refresh_from_db()
    assert material.on_hand == 7


def test_a_blind_count_says_nothing_of_the_books_until_it_is_closed(phone):
    stocked()
    count = start_count(name="x", is_blind=True, now=NOW)
    lines = f"{API}/count-lines/?count={count.pk}"
    assert phone.get(lines).json()["results"][0]["expected"] is None
    phone.post(f"{API}/counts/{count.pk}/close/")
    assert phone.get(lines).json()["results"][0]["expected"] == "10.000"


def test_a_blind_count_is_shown_the_books_when_it_is_asked_for(phone):
    stocked()
    count = start_count(name="x", is_blind=True, now=NOW)
    assert phone.post(f"{API}/counts/{count.pk}/reveal/").json()["is_blind"] is False
    lines = f"{API}/count-lines/?count={count.pk}"
    assert phone.get(lines).json()["results"][0]["expected"] == "10.000"
    phone.post(f"{API}/counts/{count.pk}/close/")
    assert phone.post(f"{API}/counts/{count.pk}/reveal/").status_code == 409


def test_a_shelf_is_counted_against_the_books_of_a_past_day(phone):
    stocked(received_on=date(2025, 12, 1))
    count = phone.post(f"{API}/counts/", {"name": "year end", "on": "2025-12-31"}).json()
    assert count["frozen_at"].startswith("2025-12-31T23:59:59")
    assert count["begun_at"] > count["frozen_at"]


def test_an_empty_place_is_not_counted(phone):
    body = {"name": "x", "place": Place.objects.create(name="Loft").pk}
    assert phone.post(f"{API}/counts/", body).status_code == 409


def test_what_is_short_is_ordered_sent_and_closed(phone):
    material = make_material(supplier=make_supplier())
    line = NeededLine(material=material, quantity=Decimal(4), line="1")
    replace_demand(holder="build:1", holder_name="2027-01", needs=[line])
    (buy,) = phone.get(f"{API}/to-buy/").json()
    assert (buy["short"], buy["wanted"][0]["holder"]) == ("4.000", "build:1")
    body = {"on": "2027-03-09", "lines": [{"material": material.pk, "quantity": buy["quantity"]}]}
    (order,) = phone.post(f"{API}/orders/", body).json()
    assert phone.get(f"{API}/to-buy/").json() == []
    for step in ("send", "close"):
        address = f"{API}/orders/{order['id']}/{step}/"
        assert phone.post(address, {"on": "2027-03-09"}).status_code == 200
        assert phone.post(address, {"on": "2027-03-09"}).status_code == 409


def test_sets_are_made_up_from_the_phone(phone):
    string = stocked(quantity=24)
    recipe = save_recipe(material=make_material("set"), parts=[(string, Decimal(2))])
    assert phone.get(f"{API}/recipes/{recipe.pk}/").json()["makeable"] == 12
    made = phone.post(f"{API}/recipes/{recipe.pk}/make/", {"quantity": "5"}, headers=KEY).json()
    assert made["remaining"] == "5.000"
    drawn = {"quantity": "1", "holder": "build:1"}
    assert phone.post(f"{API}/recipes/{recipe.pk}/make/", drawn).status_code == 201
    string.refresh_from_db()
    assert string.on_hand == 12
    (went,) = phone.get(f"{API}/lots/{string.lots.get().number}/went/").json()
    assert went["holder"] == "build:1"


def test_what_a_build_contains_is_told(phone):
    lot = lot_of()
    draw_stock(material=lot.material, quantity=Decimal(1), lot=lot, holder="build:7", now=NOW)
    (row,) = phone.get(f"{API}/holders/build:7/contents/").json()
    assert row["lot"] == lot.number
    assert phone.get(f"{API}/holders/build:8/contents/").status_code == 404


@pytest.mark.parametrize("rows", [1, 25])
@pytest.mark.parametrize(
    ("path", "queries"), [("counts", 2), ("count-lines", 2), ("orders", 3), ("recipes", 4)]
)
def test_deeper_lists_take_a_fixed_number_of_queries(
    phone, django_assert_num_queries, rows, path, queries
):
    for number in range(rows):
        material = stocked(supplier=make_supplier(f"s {number}"))
        save_recipe(material=make_material(), parts=[(material, Decimal(1))])
        make_orders(lines=[ToOrder(material=material, quantity=Decimal(1))], on=TODAY)
        start_count(name="x", now=NOW)
    phone.get(f"{API}/materials/")
    with django_assert_num_queries(queries + 1):
        assert phone.get(f"{API}/{path}/").status_code == 200


def test_a_cut_is_taken_back_whole_and_only_while_nothing_of_it_was_used(phone):
    board, blank = lot_of(price="20.00"), make_material("Blank", KeptAs.PIECE)
    parts = [{"material": blank.pk, "measure": "620"}] * 2
    body = {"usable": "2000", "parts": parts, "sure": True}
    phone.post(f"{API}/lots/{board.number}/cut/", body)
    cut = board.entries.order_by("pk").last().pk
    why = {"why": "wrong board"}
    assert phone.post(f"{API}/entries/{cut}/correct/", why).status_code == 409
    answer = phone.post(f"{API}/entries/{cut}/take-back/", why)
    assert [row["quantity"] for row in answer.json()] == ["-1.000", "-1.000", "1.000"]
    assert phone.post(f"{API}/entries/{cut}/take-back/", why).status_code == 409
    blank.refresh_from_db()
    assert (blank.on_hand, blank.book_cost) == (0, 0)


def test_a_set_is_split_a_half_judged_and_the_other_sold(phone):
    pair = lot_of(price="20.00")
    Piece.objects.filter(pk=pair.pk).update(parts=2)
    halves = phone.post(f"{API}/lots/{pair.number}/split/", {}).json()
    assert [half["remaining_cost"] for half in halves] == ["10.000", "10.000"]
    one, other = (half["number"] for half in halves)
    verdict = {"verdict": "rejected", "why": "worm"}
    assert phone.post(f"{API}/lots/{one}/judge/", verdict).status_code == 201
    assert phone.post(f"{API}/lots/{one}/judge/", verdict).status_code == 409
    assert phone.get(f"{API}/pieces/{one}/").json()["state"] == "rejected"
    assert [row["number"] for row in phone.get(f"{API}/pieces/?state=half").json()["results"]] == [
        other
    ]
    sale = {"quantity": "1", "lot": other, "to": "Osric", "price": "12.00"}
    made = phone.post(f"{API}/materials/{pair.material_id}/sell/", sale).json()
    assert phone.get(f"{API}/sales/").json()["results"] == [made]
    assert phone.get(f"{API}/materials/{pair.material_id}/").json()["free"] == "0.000"


@pytest.mark.parametrize(
    "change", [{"to": ""}, {"price": "-1"}, {"price": "0.001"}, {"lot": "X-1"}]
)
def test_a_sale_that_can_t_be_is_a_problem(phone, change):
    lot = lot_of()
    body = {"quantity": "1", "lot": lot.number, "to": "Osric", "price": "12.00", **change}
    assert phone.post(f"{API}/materials/{lot.material_id}/sell/", body).status_code == 400


def test_what_is_coming_is_told_by_its_sheet(phone):
    material = make_material(supplier=make_supplier(lead_time_days=14))
    line = ToOrder(material=material, quantity=Decimal(3), price=Decimal(2))
    (order,) = make_orders(lines=[line], on=TODAY)
    send_order(order=order, on=TODAY)
    (one,) = phone.get(f"{API}/materials/{material.pk}/coming/").json()
    assert (one["number"], one["quantity"], one["expected_on"]) == (
        order.number,
        "3.000",
        "2027-03-23",
    )


def test_a_delivery_is_taken_back_once_and_only_while_nothing_of_it_was_used(phone):
    material = stocked(quantity=10)
    delivery = Delivery.objects.get().pk
    draws = draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    why = {"why": "booked twice"}
    assert phone.post(f"{API}/deliveries/{delivery}/take-back/", why).status_code == 409
    reverse_groups(entries=draws, now=NOW)
    answer = phone.post(f"{API}/deliveries/{delivery}/take-back/", why)
    assert [row["quantity"] for row in answer.json()] == ["-10.000"]
    assert phone.get(f"{API}/deliveries/{delivery}/").json()["is_taken_back"] is True
    noted = phone.get(f"{API}/materials/{material.pk}/prices/").json()["noted"]
    assert [(one["kind"], one["is_taken_back"]) for one in noted] == [("paid", True)]
    assert phone.post(f"{API}/deliveries/{delivery}/take-back/", why).status_code == 409


def test_weighings_and_readings_are_listed_and_crossed_out(phone):
    lot = lot_of()
    phone.post(f"{API}/pieces/{lot.number}/weighings/", {"grams": "868"})
    phone.post(f"{API}/lots/{lot.number}/moisture/", {"raw": "0.095", "on": "2027-03-09"})
    for path in ("weighings", "moisture-readings"):
        (row,) = phone.get(f"{API}/{path}/", {"lot": lot.number}).json()["results"]
        assert row["is_crossed_out"] is False
        crossed = phone.post(f"{API}/{path}/{row['id']}/cross-out/")
        assert crossed.json()["is_crossed_out"] is True
        assert phone.post(f"{API}/{path}/{row['id']}/cross-out/").status_code == 409
