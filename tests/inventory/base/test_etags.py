import pytest

from inventory.models import Place

pytestmark = [pytest.mark.urls("tests.inventory.places_api"), pytest.mark.django_db]


@pytest.fixture
def attic(workshop):
    return Place.objects.create(name="attic")


def test_reading_gives_a_version_that_changing_takes(phone, attic):
    url = f"/places/{attic.pk}/"
    version = phone.get(url)["ETag"]
    changed = phone.patch(url, {"name": "loft"}, headers={"If-Match": version})
    assert changed.json()["name"] == "loft"
    assert changed["ETag"] == phone.get(url)["ETag"] != version


def test_an_outdated_version_is_refused_and_nothing_is_lost(phone, attic):
    url = f"/places/{attic.pk}/"
    version = phone.get(url)["ETag"]
    phone.patch(url, {"name": "loft"}, headers={"If-Match": version})
    late = phone.patch(url, {"name": "cellar"}, headers={"If-Match": version})
    assert late.status_code == 412
    assert "Someone else edited this" in late.json()["detail"]
    attic.refresh_from_db()
    assert attic.name == "loft"


@pytest.mark.parametrize("method", ["patch", "put", "delete"])
def test_changing_without_a_version_is_refused(phone, attic, method):
    answer = getattr(phone, method)(f"/places/{attic.pk}/", {"name": "loft"})
    assert answer.status_code == 428
    assert "If-Match" in answer.json()["detail"]
    attic.refresh_from_db()
    assert attic.name == "attic"
