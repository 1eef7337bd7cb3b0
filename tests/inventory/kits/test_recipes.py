"""Made-up stock on its pages."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.kits.services import save_recipe
from inventory.models import KeptAs, Material, Recipe
from inventory.reservations.services import reserve_stock
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked

STRINGS = {"010": "0.85", "014": "0.85", "024w": "2.10", "036w": "2.10"}


def parts(*rows):
    data = {"form-TOTAL_FORMS": str(len(rows)), "form-INITIAL_FORMS": "0"}
    for place, (name, quantity) in enumerate(rows):
        data |= {f"form-{place}-material": name, f"form-{place}-quantity": quantity}
    return data


@pytest.fixture
def sets(workshop):
    """The custom string set of the second walk-through, two of each of four gauges."""
    singles = [
        stocked(name=gauge, quantity=24, price=str(24 * Decimal(price)))
        for gauge, price in STRINGS.items()
    ]
    material = make_material("Custom string set, 8")
    return save_recipe(material=material, parts=[(one, Decimal(2)) for one in singles])


def test_a_recipe_is_written_on_its_page(desk):
    make_material("String set")
    make_material("010")
    make_material("Wire", KeptAs.LENGTH, unit="m")
    answer = desk.post(reverse("new_recipe"), {"material": "String set"})
    recipe = Recipe.objects.get()
    assert answer.url == reverse("recipe", args=[recipe.pk])
    desk.post(answer.url, parts(("010", "2"), ("Wire", "0.5"), ("", "")))
    assert [(part.material.name, part.quantity) for part in recipe.parts.all()] == [
        ("010", 2),
        ("Wire", 500),
    ]


def test_sets_are_put_on_the_shelf_at_the_cost_of_their_strings(desk, sets):
    desk.post(reverse("make_kit", args=[sets.pk]), {"quantity": "5"})
    sets.material.refresh_from_db()
    assert (sets.material.on_hand, sets.material.book_cost) == (5, Decimal("59.00"))
    page = desk.get(reverse("made_up")).content.decode()
    assert "Custom string set, 8" in page


def test_a_set_may_be_drawn_straight_from_its_strings(desk, sets):
    top = Material.objects.get(name="010")
    reserve_stock(material=top, quantity=Decimal(2), holder="build:1", holder_name="x", now=NOW)
    data = {"quantity": "1", "holder": "build:1"}
    desk.post(reverse("make_kit", args=[sets.pk]), data)
    top.refresh_from_db()
    sets.material.refresh_from_db()
    assert (top.on_hand, top.promised, sets.material.on_hand) == (22, 0, 0)


@pytest.mark.parametrize(
    ("rows", "status", "words"),
    [
        ([("010", "2"), ("010", "1")], 409, "can be listed only once"),
        ([("Custom string set, 8", "1")], 409, "be a part of itself"),
        ([("nothing", "1")], 422, "There is no material"),
        ([("010", "two")], 422, "is not a quantity"),
        ([("010", "0")], 409, "The quantity must be above 0"),
    ],
)
def test_a_recipe_that_can_t_be_is_said_and_not_kept(desk, sets, rows, status, words):
    answer = desk.post(reverse("recipe", args=[sets.pk]), parts(*rows))
    assert answer.status_code == status
    assert words in answer.content.decode()
    assert sets.parts.count() == 4


def test_nothing_is_made_of_itself_by_a_longer_way_round(desk, sets):
    kit = make_material("kit")
    save_recipe(material=kit, parts=[(sets.material, Decimal(1))])
    answer = desk.post(reverse("recipe", args=[sets.pk]), parts(("kit", "1")))
    assert answer.status_code == 409


def test_without_parts_nothing_is_made(desk):
    recipe = save_recipe(material=make_material("kit"), parts=[])
    answer = desk.post(reverse("make_kit", args=[recipe.pk]), {"quantity": "1"})
    assert answer.status_code == 409
    assert "has no parts yet" in answer.content.decode()


@pytest.mark.parametrize("kind", ["piece", "twice"])
def test_what_can_t_be_made_up_is_said(desk, sets, kind):
    piece = make_material("board", KeptAs.PIECE)
    name = piece.name if kind == "piece" else sets.material.name
    assert desk.post(reverse("new_recipe"), {"material": name}).status_code == 422


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    part = make_material()
    for _ in range(rows):
        save_recipe(material=make_material(), parts=[(part, Decimal(2))])
    with django_assert_num_queries(6):
        desk.get(reverse("made_up"))
