"""Days lost on a build: noted at the desk and over the API, in the shop's own words."""

import pytest

from inventory.base.refusals import Refusal
from shop.builds.services.edit import record_lost_days
from shop.models import LostDays
from tests.factories import NOW, TODAY
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def build(workshop):
    return make_build()


def test_days_are_noted_and_their_words_join_the_list(desk, build):
    address = f"/builds/{build.pk}/days-lost/"
    asked = {"days": "12", "reason": "the  glue was late"}
    assert desk.post(address, asked).status_code == 302
    lost = LostDays.objects.get()
    assert (lost.days, lost.reason, lost.noted_on) == (12, "the glue was late", TODAY)
    page = desk.get(address).content.decode()
    assert page.count('<option value="the glue was late">') == 1
    assert '<option value="waiting for parts">' in page
    assert desk.post(f"/builds/days-lost/{lost.pk}/remove/").status_code == 302
    assert not LostDays.objects.exists()


@pytest.mark.parametrize(
    ("days", "reason", "sentence"),
    [
        (0, "illness", "Days lost must be from 1 to 999"),
        (3, "  ", "Enter the reason for the days lost"),
    ],
)
def test_a_note_that_can_not_be_meant_is_refused(build, days, reason, sentence):
    with pytest.raises(Refusal, match=sentence):
        record_lost_days(build=build, days=days, reason=reason, on=TODAY)


def test_days_are_noted_over_the_api(phone, build):
    asked = {"build": build.pk, "days": 3, "reason": "illness"}
    answer = phone.post("/api/v1/lost-days/", asked)
    assert (answer.status_code, answer.json()["noted_on"]) == (201, TODAY.isoformat())
    listed = phone.get(f"/api/v1/lost-days/?build={build.pk}").json()["results"]
    assert [one["days"] for one in listed] == [3]
    assert phone.post(f"/api/v1/lost-days/{listed[0]['id']}/remove/").status_code == 204
    assert not LostDays.objects.exists()
