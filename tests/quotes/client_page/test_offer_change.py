"""The client's page of a change: what it shows and never shows, and what becomes of tampering."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser

from quotes.changes.services import record_change_decision
from quotes.links.services import withdraw_link
from quotes.models import Change, ClientLink, ClientMessage, Decision
from tests.factories import NOW, TODAY
from tests.quotes.client_page.test_offer import SECRET_WORDS, whole
from tests.quotes.clientside import (
    SECRET_FIGURES,
    make_change_secret,
    make_offered_change,
    make_offered_quote,
    make_ordered_quote,
    make_secret,
)

pytestmark = pytest.mark.django_db

YES = {"name": "Osric Pondweed", "dated": TODAY.isoformat()}
OWN_FIGURES = ("2.75", "87.39")
"""The hours and the cost of the change, beside those of the quote."""


@pytest.fixture(autouse=True)
def the_day(monkeypatch, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def change(workshop):
    return make_offered_change(make_ordered_quote())


@pytest.fixture
def at(change):
    return f"/offer/change/{make_change_secret(change)}/"


def every_answer(client, at):
    """Every page of a link: read, refused, agreed, and after."""
    yield client.get(at)
    yield client.get(at, headers={"Accept": "application/json"})
    yield client.post(f"{at}agree/", {"name": ""})
    yield client.post(f"{at}agree/", YES | {"dated": "2020-01-01"})
    yield client.get(f"{at}signed/")
    yield client.post(f"{at}agree/", YES, follow=True)
    yield client.post(f"{at}decline/", {"words": "no"})
    yield client.get("/offer/change/wrong/")


def test_no_answer_shows_what_belongs_to_the_maker(client, at):
    for page in every_answer(client, at):
        text = whole(page).lower()
        words = (*SECRET_WORDS, *SECRET_FIGURES, *OWN_FIGURES)
        assert [word for word in words if word in text] == []
        assert f"{ClientLink.objects.get().secret_sha256}" not in text


def test_the_maker_s_own_page_does_show_them(desk, change):
    """The test above can fail: the same figures are found where they belong."""
    text = whole(desk.get(f"/changes/{change.pk}/")).lower()
    figures = ("41.37", "2.75", "87.39", "27.31")
    assert [figure for figure in figures if figure not in text] == []


def test_it_shows_the_change_its_tax_and_the_agreement_before_and_after(client, change, at):
    text = client.get(at).content.decode()
    gross = change.quote.gross
    before = change.quote.build.promised_on
    after = before + timedelta(days=3)
    for shown in (
        "Pickup under the bridge",
        "jack at the end block",
        "213.00",
        "42.60",
        "255.60",
        "It is paid in advance.",
        f"{gross:,.2f}",
        f"{gross + Decimal('255.60'):,.2f}",
        "Teardrop body, nut 29 mm.",
        "3 days later",
        f'datetime="{before}"',
        f'datetime="{after}"',
    ):
        assert shown in text, shown


def test_it_counts_what_was_agreed_since_it_was_offered(client, change, at):
    other = make_offered_change(change.quote, title="Wider nut", price=Decimal(50))
    record_change_decision(change=other, agreed=True, now=NOW)
    text = client.get(at).content.decode()
    assert "Wider nut" in text
    assert f"{change.quote.gross + 60 + Decimal('255.60'):,.2f}" in text


@pytest.mark.parametrize("path", ["", "paper/", "signed/"])
def test_answers_are_kept_from_other_sites_searches_and_caches(client, at, path):
    page = client.get(f"{at}{path}")
    assert page["Referrer-Policy"] == "no-referrer"
    assert "noindex" in page["X-Robots-Tag"]
    assert "no-store" in page["Cache-Control"]
    assert not page.cookies


def test_it_opens_without_signing_in_and_leads_nowhere_else(client, at):
    text = client.get(at).content.decode()
    for inside in ('href="/quotes/', 'href="/changes/', "/login/", "Sign out"):
        assert inside not in text


def test_a_form_from_a_browser_without_cookies_is_taken(at):
    browser = Browser(enforce_csrf_checks=True)
    page = browser.post(f"{at}agree/", YES, headers={"Origin": "null"})
    assert (page.status_code, page["Location"]) == (302, at)


def test_agreeing_shows_thanks_and_the_record(client, at):
    assert b"was not agreed by this link" in client.get(f"{at}signed/").content
    text = client.post(f"{at}agree/", YES, follow=True).content.decode()
    assert "Agreed. Thank you, Osric Pondweed." in text
    assert "<form" not in text
    assert client.get(f"{at}signed/").content.startswith(b"%PDF-")


def test_a_replayed_yes_agrees_once(client, at, change):
    for _ in range(3):
        assert client.post(f"{at}agree/", YES).status_code == 302
    assert Decision.objects.count() == 1
    build = Change.objects.get().quote.build
    assert build.promised_on == change.quote.build.promised_on + timedelta(days=3)


def test_declining_with_a_word(client, at):
    text = client.post(f"{at}decline/", {"words": "Not now."}, follow=True).content.decode()
    assert "Not now." in text
    assert Change.objects.get().state == "declined"
    assert client.post(f"{at}agree/", YES).status_code == 409


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ({}, 422),
        ({"name": "Osric", "dated": "yesterday"}, 422),
        ({"name": "Osric\x00", "dated": TODAY.isoformat()}, 422),
        ({"name": "O" * 121, "dated": TODAY.isoformat()}, 422),
        ({"name": "Osric", "dated": "2020-01-01"}, 409),
    ],
    ids=["nothing", "no date", "a null byte", "too long", "old date"],
)
def test_a_tampered_yes_is_answered_and_agrees_to_nothing(client, at, sent, status):
    assert client.post(f"{at}agree/", sent).status_code == status
    assert Change.objects.get().state == "offered"


def test_figures_and_keys_sent_along_are_not_read(client, change, at):
    other = make_offered_change(change.quote, title="Gold tuners", price=Decimal(400))
    forged = YES | {"change": other.pk, "pk": other.pk, "price": "1.00", "agreed": "false"}
    client.post(f"{at}agree/?pk={other.pk}&change={other.pk}", forged)
    assert "Gold tuners" not in client.get(f"{at}?change={other.pk}").content.decode()
    assert [(one.state, one.price) for one in Change.objects.order_by("pk")] == [
        ("agreed", Decimal(213)),
        ("offered", Decimal(400)),
    ]


@pytest.mark.parametrize("number", [1, "1", "change:1", "0" * 43, "../changes/1"], ids=str)
def test_guessed_addresses_open_nothing(client, change, number):
    page = client.get(f"/offer/change/{number}/")
    assert page.status_code in {302, 404}
    assert "Pickup" not in page.content.decode()


def test_each_kind_of_link_opens_its_own_kind_of_page_only(client, workshop):
    quote = make_offered_quote()
    quote_secret = make_secret(quote)
    secret = make_change_secret(make_offered_change(make_ordered_quote(quote)))
    wrong = client.get("/offer/wrong/").content
    for path in ("", "paper/", "signed/"):
        assert client.get(f"/offer/{secret}/{path}").content == wrong
        assert client.get(f"/offer/change/{quote_secret}/{path}").content == wrong
    for address in (
        f"/offer/{secret}/accept/",
        f"/offer/{secret}/decline/",
        f"/offer/change/{quote_secret}/agree/",
        f"/offer/change/{quote_secret}/decline/",
    ):
        assert client.post(address, YES).status_code == 404
    assert not Decision.objects.exists()


def test_mistyped_ended_and_withdrawn_links_look_the_same(client, change, at, monkeypatch):
    wrong = client.get("/offer/wrong/")
    withdraw_link(link=ClientLink.objects.get(), now=NOW)
    ended = make_change_secret(change, days=0)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=1))
    for address in (at, f"/offer/change/{ended}/", f"{at[:-3]}xx/", f"{at}papers/", f"{at}paper/"):
        answer = client.get(address)
        assert (answer.status_code, answer.content) == (404, wrong.content)
    for path in ("agree/", "decline/"):
        assert client.post(f"{at}{path}", YES).status_code == 404
    assert Change.objects.get().state == "offered"


@pytest.mark.parametrize("what", ["", "/paper", "/agree"])
def test_an_address_without_its_last_slash_is_led_on(client, at, what):
    assert client.get(f"{at[:-1]}{what}").url == f"{at[:-1]}{what}/"


@pytest.mark.parametrize("what", ["agree", "decline"])
def test_coming_back_to_an_answer_leads_to_the_change(client, at, what):
    assert client.get(f"{at}{what}/").url == at


def test_reading_is_noted_but_not_the_maker_s_own(desk, at):
    desk.get(at)
    assert ClientLink.objects.get().seen_at is None
    Browser().get(at)
    assert ClientLink.objects.get().seen_at == NOW


@pytest.mark.parametrize("others", [0, 6])
def test_the_page_asks_a_fixed_number_of_questions(
    client, change, at, others, django_assert_num_queries
):
    for _ in range(others):
        record_change_decision(change=make_offered_change(change.quote), agreed=True, now=NOW)
    with django_assert_num_queries(8):
        client.get(at)


def test_the_maker_makes_withdraws_and_reads(desk, change):
    assert 'value="2027-03-23"' in desk.get(f"/changes/{change.pk}/link/").content.decode()
    page = desk.post(f"/changes/{change.pk}/link/", {"expires_on": "2027-04-30"})
    assert "no-store" in page["Cache-Control"]
    secret = page.content.decode().split("/offer/change/")[1].split("/")[0]
    assert Browser().get(f"/offer/change/{secret}/").status_code == 200
    assert secret not in desk.get(f"/changes/{change.pk}/").content.decode()
    link = ClientLink.objects.get()
    answer = desk.post(f"/quotes/links/{link.pk}/withdraw/")
    assert answer["Location"] == f"/changes/{change.pk}/"
    assert Browser().get(f"/offer/change/{secret}/").status_code == 404


def test_the_maker_is_told_until_it_is_seen(desk, change, at):
    Browser().post(f"{at}agree/", YES)
    assert "Osric Pondweed agreed" in desk.get(f"/changes/{change.pk}/").content.decode()
    today = desk.get("/books/today/").content.decode()
    assert f'href="/changes/{change.pk}/"' in today
    assert desk.get(f"/changes/{change.pk}/agreement/").content.startswith(b"%PDF-")
    assert "by link, paper" in desk.get(f"/quotes/{change.quote_id}/").content.decode()
    message = ClientMessage.objects.get()
    seen = desk.post(f"/quotes/messages/{message.pk}/seen/", {"next": "https://elsewhere.example"})
    assert seen["Location"] == f"/changes/{change.pk}/"
    assert "Osric Pondweed" not in desk.get("/books/today/").content.decode()


def test_what_is_said_of_a_change_is_not_said_of_its_quote(desk, change, at):
    Browser().post(f"{at}decline/", {"words": "no"})
    assert desk.get(f"/quotes/{change.quote_id}/acceptance/").status_code == 404
    page = desk.get(f"/quotes/{change.quote_id}/")
    assert page.context["page"].client.decision is None
    assert page.context["page"].client.links == []


def test_the_api_makes_the_link_and_shows_the_answer(phone, change):
    asked = {"change": change.pk, "expires_on": "2027-04-30"}
    made = phone.post("/api/v1/client-links/", asked)
    assert (made.status_code, made.data["change"], made.data["quote"]) == (
        201,
        change.pk,
        change.quote_id,
    )
    address = made.data["address"].split("testserver")[1]
    Browser().post(f"{address}agree/", YES)
    [decision] = phone.get(f"/api/v1/decisions/?change={change.pk}").data["results"]
    assert (decision["said"], decision["name"]) == ("yes", "Osric Pondweed")
    record = phone.get(f"/api/v1/decisions/{decision['id']}/document/")
    assert record.content.startswith(b"%PDF-")
    assert phone.get(f"/api/v1/changes/{change.pk}/document/").content.startswith(b"%PDF-")
    both = phone.post("/api/v1/client-links/", asked | {"quote": change.quote_id})
    assert both.status_code == 400
