import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from inventory.models import Place
from tests.conftest import make_person
from tests.races.moments import at_the_same_moment

pytestmark = pytest.mark.urls("tests.inventory.places_api")


def post(api, name, key="k-1", path="/places/"):
    return api.post(path, {"name": name}, headers={"Idempotency-Key": key})


def test_the_same_key_and_body_is_done_once_and_answered_alike(phone):
    first, second = post(phone, "attic"), post(phone, "attic")
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json() == second.json()
    assert "Idempotency-Replayed" not in first
    assert second["Idempotency-Replayed"] == "true"
    assert Place.objects.count() == 1


def test_the_same_key_with_another_body_is_refused(phone):
    post(phone, "attic")
    answer = post(phone, "cellar")
    assert answer.status_code == 422
    assert answer.json()["detail"] == (
        "This Idempotency-Key was used for another request. Send a new key with it."
    )
    assert list(Place.objects.values_list("name", flat=True)) == ["attic"]


def test_the_same_key_at_another_address_is_refused(phone):
    post(phone, "attic")
    assert post(phone, "attic", path="/refuse/").status_code == 422


def test_without_a_key_nothing_is_kept(phone):
    assert phone.post("/places/", {"name": "attic"}).status_code == 201
    assert phone.post("/places/", {"name": "attic"}).status_code == 400


def test_keys_of_two_people_do_not_meet(phone, workshop):
    other = APIClient()
    other.force_authenticate(make_person("bram", "maker"))
    assert post(phone, "attic").status_code == post(other, "cellar").status_code == 201


def test_what_the_state_refused_is_tried_again_under_its_key(phone, monkeypatch):
    first = post(phone, "x", path="/refuse/")
    assert first.status_code == 409
    again = post(phone, "x", path="/refuse/")
    assert (again.status_code, "Idempotency-Replayed" in again) == (409, False)
    assert again.json() == first.json()


def test_what_a_field_gets_wrong_is_kept(phone):
    first, second = post(phone, ""), post(phone, "")
    assert first.status_code == second.status_code == 400
    assert first.json() == second.json()
    assert second["Idempotency-Replayed"] == "true"
    assert second["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("key", ["k-1", ""], ids=["with a key", "without"])
def test_a_refusal_leaves_nothing_half_written(phone, key):
    assert post(phone, "x", key=key, path="/refuse/").status_code == 409
    assert not Place.objects.exists()


def test_a_fault_of_the_program_keeps_nothing_and_undoes_everything(phone):
    phone.raise_request_exception = False
    assert post(phone, "x", path="/break/").status_code == 500
    assert not Place.objects.exists()
    assert post(phone, "attic").status_code == 201


def test_a_photo_is_part_of_what_was_asked(phone):
    def send(content):
        photo = SimpleUploadedFile("top.jpg", content, "image/jpeg")
        body = {"name": "attic", "photo": photo}
        return phone.post("/photo/", body, format="multipart", headers={"Idempotency-Key": "k-1"})

    assert send(b"grain").json() == {"bytes": 5}
    assert send(b"grain")["Idempotency-Replayed"] == "true"
    assert send(b"knots").status_code == 422


def test_an_endless_key_is_refused(phone):
    answer = post(phone, "attic", key="k" * 201)
    assert answer.json()["detail"] == "An Idempotency-Key has at most 200 characters."


@pytest.mark.races
@pytest.mark.django_db(transaction=True)
def test_two_at_the_same_moment_do_it_once(posy):
    def ask():
        api = APIClient()
        api.force_authenticate(posy)
        return post(api, "attic")

    answers = at_the_same_moment([ask] * 4)
    assert [answer.status_code for answer in answers] == [201] * 4
    assert len({answer.json()["id"] for answer in answers}) == 1
    assert Place.objects.count() == 1
