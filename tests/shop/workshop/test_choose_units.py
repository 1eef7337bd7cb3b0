"""One person sees inches, another millimetres; stored sizes stay the same."""

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.models import Preference
from shop.workshop.services import choose_units
from tests.conftest import make_person
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db
HELLO = "/api/v1/devices/hello/"


@pytest.mark.parametrize(
    ("shop", "own", "unit"),
    [
        ("metric", "", "mm"),
        ("metric", "imperial", "thou"),
        ("imperial", "metric", "mm"),
        ("imperial", "", "thou"),
    ],
)
def test_a_page_speaks_the_units_of_who_reads_it(desk, posy, workshop, shop, own, unit):
    Workshop.objects.update(units=shop)
    choose_units(person=posy, units=own)
    assert desk.get(reverse("build_setup", args=[make_build().pk])).context["unit"] == unit


def test_what_one_chose_is_nobody_elses(client, phone, posy, workshop):
    bram = make_person("bram", "maker")
    choose_units(person=bram, units=Workshop.IMPERIAL)
    assert phone.post(HELLO, {}, format="json").json()["workshop"]["units"] == "metric"
    phone.force_authenticate(bram)
    assert phone.post(HELLO, {}, format="json").json()["workshop"]["units"] == "imperial"
    assert Workshop.objects.get().units == "metric"


def test_going_by_the_workshop_again_follows_the_workshop(phone, posy, workshop):
    choose_units(person=posy, units=Workshop.IMPERIAL)
    choose_units(person=posy, units="")
    assert phone.post(HELLO, {}, format="json").json()["workshop"]["units"] == "metric"
    assert Preference.objects.count() == 1


def test_another_word_is_refused_and_nothing_changed(posy, workshop):
    choose_units(person=posy, units=Workshop.IMPERIAL)
    with pytest.raises(Refusal, match="Units are metric or imperial"):
        choose_units(person=posy, units="cubits")
    assert Preference.objects.get().units == "imperial"


def test_it_is_chosen_on_the_workshops_page_and_in_the_api(desk, phone, posy, workshop):
    desk.post("/workshop/units/", {"units": "imperial"})
    assert Preference.objects.get(user=posy).units == "imperial"
    assert b'value="imperial" selected' in desk.get("/workshop/").content
    answer = phone.post("/api/v1/devices/units/", {"units": "metric"}, format="json")
    assert (answer.status_code, answer.json()) == (200, {"units": "metric"})
    assert Preference.objects.get(user=posy).units == "metric"
