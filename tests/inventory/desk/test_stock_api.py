"""Stock over the API: lists, and who may do what."""

from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from inventory.models import KeptAs, Place
from inventory.reservations.services import reserve_stock
from tests.factories import NOW, make_supplier
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked

API = "/api/v1"


@pytest.mark.parametrize("rows", [1, 25])
@pytest.mark.parametrize(
    ("path", "queries"),
    [
        ("materials", 2),
        ("lots", 2),
        ("pieces", 2),
        ("entries", 1),
        ("promises", 2),
        ("deliveries", 4),
        ("families", 2),
        ("places", 2),
        ("suppliers", 2),
    ],
)
def test_a_list_takes_a_fixed_number_of_queries(
    phone, django_assert_num_queries, rows, path, queries
):
    for position in range(rows):
        material = stocked(KeptAs.PIECE, 2)
        ask = {"material": material, "quantity": Decimal(1), "now": NOW}
        reserve_stock(holder=f"build:{position}", holder_name="a build", **ask)
        Place.objects.create(name=f"shelf {position}")
        make_supplier(f"supplier {position}")
    phone.get(f"{API}/materials/")
    # one more for the workshop
    with django_assert_num_queries(queries + 1):
        assert phone.get(f"{API}/{path}/").status_code == 200


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("materials/{}/draw/", {"quantity": "1"}),
        ("promises/", {}),
        ("deliveries/", {}),
        ("places/", {"name": "Loft"}),
    ],
)
def test_a_looker_on_reads_and_does_not_write(looker_on, path, body):
    api = APIClient()
    api.force_authenticate(looker_on)
    material = stocked()
    assert api.get(f"{API}/materials/{material.pk}/").status_code == 200
    problem(api.post(f"{API}/{path.format(material.pk)}", body), 403)


def test_nobody_in_particular_sees_nothing(workshop):
    answer = APIClient().get(f"{API}/materials/")
    assert answer.status_code in {401, 403}
