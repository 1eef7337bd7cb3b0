"""Places, suppliers and families."""

import pytest
from django.urls import reverse

from inventory.models import Family, Place, Supplier
from tests.factories import make_supplier


@pytest.mark.parametrize("which", ["places", "suppliers", "families"])
@pytest.mark.parametrize("rows", [1, 25])
def test_a_short_list_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, which, rows):
    model = {"places": Place, "suppliers": Supplier, "families": Family}[which]
    model.objects.all().delete()
    for position in range(rows):
        model.objects.create(name=f"row {position}")
    with django_assert_num_queries(4):
        assert desk.get(reverse("short_list", args=[which])).status_code == 200


def test_a_place_is_added_and_changed(desk):
    desk.post(reverse("new_in_list", args=["places"]), {"name": "Loft"})
    place = Place.objects.get()
    desk.post(reverse("edit_in_list", args=["places", place.pk]), {"name": "Loft, rack 2"})
    place.refresh_from_db()
    assert place.name == "Loft, rack 2"


def test_two_suppliers_of_one_name_are_refused(desk):
    make_supplier("Bramble & Sons Timber")
    data = {"name": "Bramble & Sons Timber", "lead_time_days": 14}
    answer = desk.post(reverse("new_in_list", args=["suppliers"]), data)
    assert answer.status_code == 422
    assert Supplier.objects.count() == 1


@pytest.mark.parametrize("currency", ["EURO", "ZZZ", "eu"])
def test_a_supplier_s_money_is_of_iso_4217(desk, currency):
    data = {"name": "Quill Hardware", "lead_time_days": 14, "currency": currency}
    assert desk.post(reverse("new_in_list", args=["suppliers"]), data).status_code == 422


def test_there_is_no_other_list(desk):
    assert desk.get("/stock/clients/").status_code == 404
