"""The workshop over the API: its details, its week, its days off."""

from inventory.models import Workshop
from shop.models import DayOff, WorkingWeek


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
