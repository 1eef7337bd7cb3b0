"""Wood that came in under a listing keeps it: no edit of its material drops it."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Lot, Material, Species
from tests.factories import TODAY, make_material

pytestmark = pytest.mark.django_db


@pytest.fixture
def rosewood(workshop):
    listed = Species.objects.create(name="Listed rosewood", listing="Appendix II, as read.")
    return make_material("Rosewood board", kept_as="piece", species=listed)


def edit(desk, material, species):
    form = {
        "name": material.name,
        "family": material.family_id,
        "kept_as": material.kept_as,
        "unit": material.unit,
        "species": species.pk if species else "",
    }
    return desk.post(reverse("edit_material", args=[material.pk]), form)


def come_in(material):
    Lot.objects.create(number="T-0001", material=material, received_on=TODAY, remaining=Decimal(1))


@pytest.mark.parametrize("other", [True, False], ids=["another species", "no species"])
def test_a_material_that_came_in_listed_keeps_its_species(desk, rosewood, other):
    come_in(rosewood)
    maple = Species.objects.create(name="Maple")
    answer = edit(desk, rosewood, maple if other else None)
    assert answer.status_code == 422
    assert "has come in as Listed rosewood, which is listed" in answer.content.decode()
    assert Material.objects.get(pk=rosewood.pk).species.name == "Listed rosewood"


def test_a_slip_is_corrected_before_any_wood_came_in(desk, rosewood):
    assert edit(desk, rosewood, None).status_code == 302
    assert Material.objects.get(pk=rosewood.pk).species is None


def test_wood_without_a_listing_may_be_named_anew(desk, rosewood):
    maple, sycamore = (Species.objects.create(name=name) for name in ("Maple", "Sycamore"))
    board = make_material("Maple board", kept_as="piece", species=maple)
    come_in(board)
    assert edit(desk, board, sycamore).status_code == 302
    assert Material.objects.get(pk=board.pk).species == sycamore
