"""Prices, order sheets and suppliers' credits over the API."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.models import KeptAs, Order
from inventory.purchasing.services.deliveries import (
    NewLine,
    receive_delivery,
    return_to_supplier,
)
from inventory.purchasing.services.orders import ToOrder, make_orders
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def order(workshop):
    nuts = make_material("Nut", supplier=make_supplier())
    line = ToOrder(material=nuts, quantity=Decimal(10), price=Decimal(4))
    return make_orders(lines=[line], on=TODAY)[0]


def test_a_price_is_noted_and_joins_the_history(phone, workshop):
    address = f"{API}/materials/{make_material(realisable_price=Decimal(9)).pk}/prices/"
    answer = phone.post(address, {"price": "74.00", "on": "2027-03-20"})
    assert answer.status_code == 201, answer.json()
    shown = phone.get(address).json()
    assert shown == answer.json()
    assert (shown["replacement_price"], shown["realisable_price"]) == ("74.0000", "9.0000")
    noted = [(row["noted_on"], row["kind"], row["price"]) for row in shown["noted"]]
    assert ("2027-03-20", "replacement", "74.0000") in noted
    problem(phone.post(address, {"price": "-1"}), 400)


def test_a_break_is_kept_changed_and_forgotten(phone, workshop):
    body = {"material": make_material().pk, "least": "10", "price": "4.20"}
    made = phone.post(f"{API}/price-breaks/", body)
    assert made.status_code == 201
    assert problem(phone.post(f"{API}/price-breaks/", body), 400)
    address = f"{API}/price-breaks/{made.json()['id']}/"
    cheaper = phone.patch(address, {"price": "3.90"}, headers={"If-Match": "*"})
    assert cheaper.json()["price"] == "3.9000"
    assert phone.delete(address, headers={"If-Match": "*"}).status_code == 204


def test_when_to_buy_is_told_or_why_not(phone, workshop):
    sentence = problem(phone.get(f"{API}/materials/{stocked().pk}/buying-advice/"), 409)
    assert "Nothing was used" in sentence
    now, material = timezone.now(), make_material(lead_time_days=30)
    line = NewLine(material=material, quantity=Decimal(1000), price=Decimal(4))
    first = now - timedelta(days=340)
    receive_delivery(received_on=first.date(), lines=[line], now=first)
    for days in (300, 200, 120, 60, 10):
        at = now - timedelta(days=days)
        draw_stock(material=material, quantity=Decimal(8), holder="build:1", now=at)
    advice = phone.get(f"{API}/materials/{material.pk}/buying-advice/").json()
    assert (advice["draws"], advice["days"]) == (5, 340)
    assert Decimal(advice["level"]) > 8


def test_a_draft_sheet_is_changed_printed_and_then_stays(phone, order):
    address = f"{API}/orders/{order.pk}/"
    line = phone.get(address).json()["lines"][0]["id"]
    body = {"lines": [{"line": line, "quantity": "12", "price": "3.90"}], "note": "Blond."}
    changed = phone.post(f"{address}change/", body).json()
    assert (changed["lines"][0]["quantity"], changed["note"]) == ("12.000", "Blond.")
    assert phone.get(f"{address}sheet/").content.startswith(b"%PDF")
    phone.post(f"{address}send/", {"on": "2027-03-09"})
    assert "was sent" in problem(phone.post(f"{address}change/", body), 409)
    assert Order.objects.get().note == "Blond."


def test_a_credit_is_listed_until_it_is_settled(phone, workshop):
    _, (lot, _) = stocked_pieces(supplier=make_supplier())
    lot.supplier = lot.material.supplier
    lot.save(update_fields=["supplier"])
    return_to_supplier(lot=lot, quantity=Decimal(1), credit=Decimal(10), why="run-out", now=NOW)
    (due,) = phone.get(f"{API}/credits/", {"settled_on__isnull": True}).json()["results"]
    assert due["amount"] == "10.000"
    address = f"{API}/credits/{due['id']}/settle/"
    assert phone.post(address, {"on": "2027-03-12"}).json()["settled_on"] == "2027-03-12"
    problem(phone.post(address, {"on": "2027-03-12"}), 409)


def test_a_recipe_is_written_replaced_and_says_what_limits_it(phone, workshop):
    wire, knob = stocked(KeptAs.LENGTH, 1000), stocked(name="Knob", quantity=3)
    kit = make_material("Kit")
    parts = [{"material": wire.pk, "quantity": "100"}, {"material": knob.pk, "quantity": "2"}]
    made = phone.post(f"{API}/recipes/", {"material": kit.pk, "parts": parts})
    assert made.status_code == 201, made.json()
    assert (made.json()["makeable"], made.json()["limited_by"]) == (1, ["Knob"])
    address = f"{API}/recipes/{made.json()['id']}/"
    body = {"material": kit.pk, "parts": parts[:1]}
    problem(phone.put(address, body), 428)
    changed = phone.put(address, body, headers={"If-Match": made["ETag"]})
    assert (changed.json()["makeable"], changed.json()["cost"]) == (10, "200.000")
    problem(phone.put(address, body, headers={"If-Match": made["ETag"]}), 412)
    own = {"material": kit.pk, "parts": [{"material": kit.pk, "quantity": "1"}]}
    assert "of itself" in problem(phone.put(address, own, headers={"If-Match": "*"}), 409)
