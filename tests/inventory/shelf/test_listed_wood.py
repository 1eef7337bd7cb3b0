"""Wood that came in under a listing keeps it: no edit of its material drops it."""

import pytest
from django.urls import reverse

from inventory.models import KeptAs, Material, Species
from tests.factories import make_material
from tests.inventory.stocked import stocked

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


@pytest.mark.parametrize("other", [True, False], ids=["another species", "no species"])
def test_a_material_that_came_in_listed_keeps_its_species(desk, rosewood, other):
    stocked(material=rosewood, quantity=1)
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
    board = stocked(KeptAs.PIECE, 1, name="Maple board", species=maple)
    assert edit(desk, board, sycamore).status_code == 302
    assert Material.objects.get(pk=board.pk).species == sycamore
