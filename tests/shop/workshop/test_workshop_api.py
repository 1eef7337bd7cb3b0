"""The workshop over the API: its details, its week, its days off."""

from django.test import Client
from django.urls import reverse

from inventory.models import Workshop
from shop.models import DayOff, WorkingWeek
from tests.conftest import make_person


def edit(phone, path, **fields):
    etag = phone.get(path)["ETag"]
    return phone.patch(path, fields, headers={"If-Match": etag})


def test_details_are_read_and_edited(phone):
    answer = edit(phone, "/api/v1/workshop/", maker="Bram Oddsocks", time_zone="Europe/Amsterdam")
    assert answer.status_code == 200, answer.data
    assert Workshop.objects.get().maker == "Bram Oddsocks"


def test_a_time_zone_that_is_none_is_refused_with_an_example(phone):
    answer = edit(phone, "/api/v1/workshop/", time_zone="Turnip/Hollow")
    assert answer.status_code == 400
    (problem,) = answer.json()["errors"]
    assert problem["field"] == "time_zone"
    assert "Europe/Amsterdam" in problem["detail"]


def test_a_new_country_is_checked_against_the_tax_number_there(phone):
    Workshop.objects.update(country="US", tax_number="12345")
    assert edit(phone, "/api/v1/workshop/", country="AU").status_code == 200
    answer = edit(phone, "/api/v1/workshop/", country="DE")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == "tax_number"
    assert Workshop.objects.get().country == "AU"


def test_the_settings_lead_only_owners_to_what_only_owners_read(desk):
    maker = Client()
    maker.force_login(make_person("bram", "maker"))
    for_owner, for_maker = (one.get(reverse("workshop")).content.decode() for one in (desk, maker))
    for name in ("access_log", "everything"):
        assert reverse(name) in for_owner
        assert reverse(name) not in for_maker


def test_the_week_is_read_before_it_was_ever_set_and_edited(phone):
    assert phone.get("/api/v1/working-week/").json()["monday"] == "5.00"
    assert edit(phone, "/api/v1/working-week/", saturday="6.50").status_code == 200
    assert f"{WorkingWeek.objects.get().saturday}" == "6.50"
    assert edit(phone, "/api/v1/working-week/", saturday="25").status_code == 400


def test_days_off_are_added_and_deleted(phone):
    days = {"first": "2027-08-02", "last": "2027-08-15", "reason": "summer"}
    made = phone.post("/api/v1/days-off/", days).json()
    address = f"/api/v1/days-off/{made['id']}/"
    etag = phone.get(address)["ETag"]
    assert phone.delete(address, headers={"If-Match": etag}).status_code == 204
    assert not DayOff.objects.exists()


def test_days_off_that_end_before_they_begin_are_refused(phone):
    answer = phone.post("/api/v1/days-off/", {"first": "2027-08-15", "last": "2027-08-02"})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == "last"


def test_the_page_refuses_them_with_the_same_sentence(desk):
    answer = desk.post(reverse("day_off_add"), {"first": "2027-08-15", "last": "2027-08-02"})
    assert "Give 2027-08-15 or a later day." in answer.content.decode()
    assert not DayOff.objects.exists()
