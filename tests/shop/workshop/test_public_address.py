"""The public address: named once, used by every link, and answered to."""

import pytest

from inventory.models import Workshop
from tests.factories import NOW
from tests.quotes.clientside import make_offered_quote

pytestmark = pytest.mark.django_db

PUBLIC = "https://quotes.hollow.example"


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    settings.ALLOWED_HOSTS = ["localhost", "testserver"]
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


def details(**fields):
    workshop = Workshop.objects.get()
    names = ("name", "maker", "currency", "time_zone", "units")
    return {name: getattr(workshop, name) for name in names} | fields


def test_it_is_named_in_the_workshops_details(desk):
    desk.post("/workshop/change/", details(public_address="quotes.hollow.example/"))
    assert Workshop.objects.get().public_address == PUBLIC
    assert PUBLIC in desk.get("/workshop/").content.decode()


def test_one_that_opens_nearby_only_is_refused(desk):
    page = desk.post("/workshop/change/", details(public_address="http://192.168.1.4:8000"))
    assert page.status_code == 422
    assert "in your own network only" in page.content.decode()
    assert Workshop.objects.get().public_address == ""


def test_links_are_made_with_it(desk, phone):
    quote = make_offered_quote()
    Workshop.objects.update(public_address=PUBLIC)
    page = desk.post(f"/quotes/{quote.pk}/link/", {"expires_on": "2027-04-15"})
    assert f'value="{PUBLIC}/offer/' in page.content.decode()
    asked = {"quote": quote.pk, "expires_on": "2027-04-15"}
    address = phone.post("/api/v1/client-links/", asked).json()["address"]
    assert address.startswith(f"{PUBLIC}/offer/")


def test_without_one_the_page_of_a_link_says_what_to_do(desk):
    quote = make_offered_quote()
    page = desk.get(f"/quotes/{quote.pk}/link/").content.decode()
    assert "opens in your own network only" in page
    assert 'href="/workshop/change/"' in page


def test_the_calendar_goes_out_under_it(desk):
    Workshop.objects.update(public_address=PUBLIC)
    page = desk.post("/workshop/queue/calendar/", follow=True).content.decode()
    assert f"Shown only now: {PUBLIC}/" in page


def test_the_program_answers_under_it_and_under_no_other(client, workshop):
    Workshop.objects.update(public_address=PUBLIC)
    known = {"host": "quotes.hollow.example"}
    assert client.get("/offer/nothing/", headers=known).status_code == 404
    assert client.get("/offer/nothing/", headers={"host": "else.example"}).status_code == 400
