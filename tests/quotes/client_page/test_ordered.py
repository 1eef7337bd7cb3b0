"""What a client reads after ordering: where to pay, how far the build is, and released photos."""

from datetime import timedelta

import pytest

from quotes.client_page.services.answers import accept_by_link
from quotes.models import Commission, PricingPolicy, Quote
from shop.builds.services.edit import add_build_note, release_photo
from shop.models import QueueForecast, QueuePlace, QueueSettings
from shop.queue.queries.books import queue_books
from shop.queue.queries.told import told_of
from tests.factories import NOW, TODAY
from tests.inventory.base.test_photos import picture, upload_of
from tests.quotes.clientside import make_offered_quote, make_secret
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def secret(workshop):
    secret = make_secret(make_offered_quote())
    PricingPolicy.objects.update(iban="NL64 TURN 0000 1234 56", account_holder="Posy Thimblewick")
    return secret


@pytest.fixture
def build(secret):
    said = {"name": "Osric Pondweed", "dated": TODAY, "wanted": None}
    accept_by_link(secret=secret, on=TODAY, now=NOW, **said)
    return Quote.objects.get(state=Quote.State.ACCEPTED).build


@pytest.fixture
def note(build):
    photo = upload_of(picture((60, 40)))
    return add_build_note(build=build, now=NOW, text="The top is joined", photo=photo)


def page_of(client, secret):
    return client.get(f"/offer/{secret}/").text


def test_bank_details_come_with_the_order_and_not_before(client, secret, request):
    assert "NL64 TURN" not in page_of(client, secret)
    request.getfixturevalue("build")
    assert "NL64 TURN 0000 1234 56" in page_of(client, secret)


def test_the_client_follows_the_stages(client, secret, build):
    first, *others = build.stages.all()
    first.finished_at = NOW
    first.save()
    assert f"1 of {len(others) + 1} stages done." in page_of(client, secret)


def test_a_photo_is_shown_once_it_is_released_and_to_nobody_else(client, secret, note):
    at = f"/offer/{secret}/photo/{note.pk}/"
    assert client.get(at).status_code == 404
    assert "The top is joined" not in page_of(client, secret)
    release_photo(note=note, to_client=True)
    assert client.get(at)["Content-Type"] == "image/jpeg"
    assert "The top is joined" in page_of(client, secret)
    assert client.get(f"/offer/wrong/photo/{note.pk}/").status_code == 404


def test_a_photo_is_released_and_hidden_on_the_page_of_notes(desk, note):
    desk.post(f"/builds/notes/{note.pk}/release/")
    note.refresh_from_db()
    assert note.is_released
    assert "Withdraw from client" in desk.get(f"/builds/{note.build_id}/notes/").text
    desk.post(f"/builds/notes/{note.pk}/release/")
    note.refresh_from_db()
    assert not note.is_released


def test_the_link_of_an_order_opens_until_delivery(client, secret, build, monkeypatch):
    later = NOW + timedelta(days=200)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    assert client.get(f"/offer/{secret}/").status_code == 200
    Commission.objects.update(state=Commission.State.DELIVERED)
    assert client.get(f"/offer/{secret}/").status_code == 404


def test_the_total_stays_in_sight_and_moves_with_the_options(client, secret):
    assert 'id="offer-in-sight"' in page_of(client, secret)
    part = client.get(f"/offer/{secret}/?choosing=1", headers={"HX-Request": "true"}).text
    assert 'id="offer-in-sight" hx-swap-oob="true"' in part


def test_the_client_sees_week_and_place_only_where_the_maker_lets_them(client, secret, build):
    days = [(TODAY + timedelta(days=number)).isoformat() for number in (50, 60, 70)]
    QueueForecast.objects.create(
        on=TODAY, stamp="x", made_at=NOW, builds={f"{build.pk}": {"days": days}}
    )
    page = page_of(client, secret)
    assert "Place in the queue" not in page
    assert "Likely ready" not in page
    QueueSettings.objects.create(pk=1, client_sees_week=True, client_sees_place=True)
    page = page_of(client, secret)
    monday = TODAY + timedelta(days=60)
    monday -= timedelta(days=monday.weekday())
    assert f"week of {monday.day} {monday:%B %Y}" in page
    assert f'as of <time datetime="{TODAY.isoformat()}">' in page
    assert "<dt>Place in the queue</dt><dd>1</dd>" in page


def test_a_week_that_is_over_or_was_forecast_long_ago_is_not_told(build):
    QueueSettings.objects.create(pk=1, client_sees_week=True)
    days = [(TODAY + timedelta(days=number)).isoformat() for number in (3, 5, 9)]
    QueueForecast.objects.create(
        on=TODAY, stamp="x", made_at=NOW, builds={f"{build.pk}": {"days": days}}
    )
    safe = TODAY + timedelta(days=5)
    last = safe + timedelta(days=6 - safe.weekday())
    for day, is_told in (
        (TODAY + timedelta(days=7), last >= TODAY + timedelta(days=7)),
        (TODAY + timedelta(days=8), False),
    ):
        assert bool(told_of(build, day).week) is is_told
    QueueForecast.objects.update(on=last)  # a fresh one
    assert told_of(build, last).as_of == last
    assert told_of(build, last + timedelta(days=1)).week == ""


@pytest.mark.parametrize("positions", [(None, None, None), (2, 1, None), (None, 1, 1)])
def test_the_place_told_is_the_place_in_the_queue(build, positions):
    others = [make_build("Other", made_on=build.made_on + timedelta(days=day)) for day in (-1, 1)]
    for one, position in zip([build, *others], positions, strict=True):
        QueuePlace.objects.create(build=one, position=position)
    QueueSettings.objects.create(pk=1, client_sees_place=True)
    make_build("Without stages", stages=[], made_on=build.made_on - timedelta(days=2))
    books = queue_books(TODAY)
    assert len(books.builds) == 3
    for place, one in enumerate(books.builds, start=1):
        assert told_of(one, TODAY).place == place
