"""Cutting plans over the API: asked for, read, booked."""

from decimal import Decimal

import pytest

from inventory.models import KeptAs, Lot, StockRules
from tests.factories import make_material
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked, stocked_pieces

PLANS = "/api/v1/cutting-plans/"


@pytest.fixture
def board(workshop):
    """The board of the second walk-through: 2,400 × 190 mm, 97.78."""
    _, (lot,) = stocked_pieces(1, price="97.78")
    piece = lot.piece
    piece.length_mm, piece.width_mm = Decimal(2400), Decimal(190)
    piece.save(update_fields=["length_mm", "width_mm"])
    return lot


@pytest.fixture
def asked(board):
    blank = make_material("Neck blank", KeptAs.PIECE)
    part = {"material": blank.pk, "length": "620", "width": "80", "count": 6}
    saw = {"kerf": "3", "trim": "40", "least_length": "100", "least_width": "25"}
    return {"material": board.material_id, "parts": [part], "saw": saw}


def test_a_plan_is_asked_for_read_and_booked_once(phone, board, asked):
    plan = phone.post(PLANS, asked).json()
    assert (plan["missing"], plan["proven"], plan["unit"]) == ([], True, "m2")
    (job,) = phone.post(f"{PLANS}read/", {"plan": plan["plan"]}).json()
    assert job == plan["jobs"][0]
    assert (job["lot"], len(job["parts"])) == (board.number, 6)
    assert job["remnants"][0]["length_mm"] == "451.000"
    assert not Lot.objects.filter(cut_from=board).exists()
    booked = phone.post(f"{PLANS}book/", {"plan": plan["plan"], "sure": True})
    assert booked.status_code == 201
    assert sum(Decimal(row["remaining_cost"]) for row in booked.json()) == Decimal("97.78")
    assert "has changed since" in problem(
        phone.post(f"{PLANS}book/", {"plan": plan["plan"], "sure": True}), 409
    )


def test_the_shop_s_own_saw_is_taken_where_none_is_told(phone, workshop):
    StockRules.objects.create(pk=1, kerf_mm=Decimal(10))
    bar = stocked(KeptAs.LENGTH, 1000, unit="mm")
    part = {"material": make_material("Tailpiece").pk, "length": "490", "count": 2}
    asked = {"material": bar.pk, "parts": [part]}
    assert phone.post(PLANS, asked).json()["missing"] == []
    wider = phone.post(PLANS, asked | {"saw": {"kerf": "21"}}).json()
    assert wider["missing"] == [{"name": "Tailpiece", "count": 1}]


def test_what_can_t_be_planned_or_read_is_a_problem(phone, board, asked):
    other = stocked().lots.get()
    assert "is not a lot of" in problem(phone.post(PLANS, asked | {"lot": other.number}), 400)
    problem(phone.post(PLANS, asked | {"parts": []}), 400)
    problem(phone.post(PLANS, asked | {"saw": {"kerf": "-1"}}), 400)
    assert "Make a new plan" in problem(phone.post(f"{PLANS}book/", {"plan": "forged"}), 409)
    piece = board.piece
    piece.length_mm = None
    piece.save(update_fields=["length_mm"])
    assert "can be cut" in problem(phone.post(PLANS, asked), 409)
