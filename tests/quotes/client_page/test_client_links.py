"""Clients' links and answers through the API."""

from decimal import Decimal

import pytest
from django.test import Client as Browser

from inventory.models import KeptAnswer
from quotes.models import ClientLink, ClientMessage, Decision
from tests.factories import NOW, TODAY
from tests.quotes.clientside import make_offered_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote(workshop, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return make_offered_quote()


@pytest.fixture
def link(phone, quote):
    asked = {"quote": quote.pk, "expires_on": "2027-04-30"}
    return phone.post("/api/v1/client-links/", asked, headers={"Idempotency-Key": "a"}).json()


def yes(link):
    return Browser().post(
        f"{link['address']}accept/", {"name": "Osric Pondweed", "dated": TODAY.isoformat()}
    )


def test_the_address_is_told_once_and_kept_nowhere(phone, quote, link):
    assert Browser().get(link["address"]).status_code == 200
    secret = link["address"].split("/")[-2]
    assert secret not in phone.get(f"/api/v1/client-links/{link['id']}/").content.decode()
    assert KeptAnswer.objects.exists()
    assert not KeptAnswer.objects.filter(body__contains=secret).exists()


def test_asked_twice_it_is_made_once_and_the_address_is_not_told_again(phone, quote, link):
    asked = {"quote": quote.pk, "expires_on": "2027-04-30"}
    again = phone.post("/api/v1/client-links/", asked, headers={"Idempotency-Key": "a"})
    assert again.json() == link | {"address": ""}
    assert ClientLink.objects.count() == 1


def test_a_link_is_withdrawn(phone, link):
    phone.post(f"/api/v1/client-links/{link['id']}/withdraw/")
    assert ClientLink.objects.get().withdrawn_at == NOW
    assert Browser().get(link["address"]).status_code == 404


def test_what_a_client_said_is_read_and_seen(phone, quote, link):
    yes(link)
    unseen = "/api/v1/client-messages/?seen_at__isnull=true"
    (message,) = phone.get(unseen).json()["results"]
    assert (message["about"], message["name"]) == ("accepted", "Osric Pondweed")
    phone.post(f"/api/v1/client-messages/{message['id']}/seen/")
    assert phone.get(unseen).json()["results"] == []
    assert ClientMessage.objects.get().seen_at == NOW


def test_a_decision_has_a_record(phone, quote, link):
    yes(link)
    (decision,) = phone.get(f"/api/v1/decisions/?quote={quote.pk}").json()["results"]
    assert (decision["said"], decision["version"]) == ("yes", 1)
    assert decision["document_sha256"] == quote.document_sha256
    paper = phone.get(f"/api/v1/decisions/{decision['id']}/document/")
    assert paper.content.startswith(b"%PDF-")


def test_a_no_has_no_record_to_print(phone, quote, link):
    Browser().post(f"{link['address']}decline/", {"words": "no"})
    answer = phone.get(f"/api/v1/decisions/{Decision.objects.get().pk}/document/")
    assert answer.status_code == 409
    assert "Only an acceptance" in answer.json()["detail"]


def test_options_are_priced_one_by_one(phone, quote):
    options = phone.get(f"/api/v1/quotes/{quote.pk}/option-prices/").json()
    assert [(option["name"], option["is_on"], option["hours"]) for option in options] == [
        ("Scroll and points", False, "40.00"),
        ("Binding", True, "0.00"),
    ]
    assert Decimal(options[0]["net"]) == Decimal(quote.frozen["choices"][0]["net"])


def test_a_looker_on_makes_no_link(client, looker_on, quote):
    client.force_login(looker_on)
    asked = {"quote": quote.pk, "expires_on": "2027-04-30"}
    assert client.post("/api/v1/client-links/", asked).status_code == 403


@pytest.mark.parametrize("count", [1, 25])
def test_lists_ask_a_fixed_number_of_questions(phone, quote, count, django_assert_num_queries):
    for number in range(count):
        ClientMessage.objects.create(quote=quote, about="gone", name=f"{number}", said_at=NOW)
        ClientLink.objects.create(
            quote=quote, secret_sha256=f"{number}", made_at=NOW, expires_on=TODAY
        )
    phone.get("/api/v1/decisions/")
    for path, queries in {"client-messages": 3, "client-links": 3, "decisions": 2}.items():
        with django_assert_num_queries(queries):
            phone.get(f"/api/v1/{path}/")
