"""Deliveries over the API."""

import pytest

from inventory.models import KeptAs, StockEntry
from tests.factories import make_material
from tests.inventory.problems import problem

API = "/api/v1"


def test_a_delivery_lands_over_the_api_as_on_its_page(phone):
    spruce, maple = make_material("Spruce", KeptAs.PIECE), make_material("Maple", KeptAs.PIECE)
    body = {
        "received_on": "2027-03-09",
        "carriage": "24.00",
        "lines": [
            {
                "material": spruce.pk,
                "quantity": "6",
                "price": "192.00",
                "pieces": [{"mass_g": "868", "parts": 2}],
            },
            {"material": maple.pk, "quantity": "1", "price": "90.11"},
        ],
    }
    answer = phone.post(f"{API}/deliveries/", body)
    assert [line["landed_cost"] for line in answer.json()["lines"]] == ["208.330", "97.780"]
    assert len(answer.json()["lines"][0]["lots"]) == 6


@pytest.mark.parametrize(
    "change",
    [
        {"lines": []},
        {"lines": "none"},
        {"carriage": "-1"},
        {"carriage": "0.001"},
        {"share_by": "mood"},
        {"received_on": "2027-02-30"},
    ],
    ids=str,
)
def test_a_delivery_that_can_t_be_read_is_a_problem(phone, change):
    row = {"material": make_material().pk, "quantity": "6", "price": "192.00"}
    body = {"received_on": "2027-03-09", "lines": [row], **change}
    problem(phone.post(f"{API}/deliveries/", body), 400)
    assert not StockEntry.objects.exists()
