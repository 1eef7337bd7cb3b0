"""Promises over the API."""

import pytest

from inventory.models import Promise
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"


def test_a_promise_beyond_what_is_free_is_a_problem(phone):
    material = stocked(quantity=2)
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "2027-01"}
    assert phone.post(f"{API}/promises/", {**ask, "quantity": "2"}).status_code == 201
    sentence = problem(phone.post(f"{API}/promises/", {**ask, "quantity": "1"}), 409)
    assert "0 available, 1 requested" in sentence
    assert Promise.objects.count() == 1


def test_a_promise_is_released_once_and_for_all(phone):
    material = stocked(quantity=2)
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "x", "quantity": "2"}
    key = phone.post(f"{API}/promises/", ask).json()["id"]
    for _ in range(2):
        answer = phone.post(f"{API}/promises/{key}/release/")
        assert answer.json()["outstanding"] == "0.000"
    material.refresh_from_db()
    assert material.free == 2


def test_a_piece_is_promised_by_its_number(phone):
    material, (first, _) = stocked_pieces()
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "x", "quantity": "1"}
    assert phone.post(f"{API}/promises/", {**ask, "lot": first.number}).status_code == 201
    sentence = problem(phone.post(f"{API}/promises/", {**ask, "lot": first.number}), 409)
    assert "is reserved for x" in sentence


@pytest.mark.parametrize(
    "change",
    [
        {"quantity": "0"},
        {"quantity": "many"},
        {"quantity": None},
        {"holder": ""},
        {"holder": "Posy"},
        {"holder": "build: 12"},
        {"lot": "T-9999"},
        {"until": "some day"},
        {"material": 404},
        {"quantity": "1e30"},
        {"quantity": "NaN"},
    ],
    ids=str,
)
def test_a_promise_that_can_t_be_read_is_a_problem(phone, change):
    ask = {"material": stocked().pk, "holder": "build:1", "holder_name": "x", "quantity": "1"}
    problem(phone.post(f"{API}/promises/", {**ask, **change}), 400)
    assert not Promise.objects.exists()
