"""The client's page: what it shows and never shows, and what becomes of tampering."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser

from inventory.models import Lot
from inventory.reservations.services import reserve_stock
from quotes.links.services import withdraw_link
from quotes.models import ClientLink, ClientMessage, Decision, Quote
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.clientside import SECRET_FIGURES, make_offered_quote, make_secret
from tests.quotes.factories import make_client, make_commission, make_quote

pytestmark = pytest.mark.django_db

SECRET_WORDS = (
    "hour", " 17.25", "markup", "margin", "contingency", "shop rate", "overhead", "replacement",
    "labour", "rounding", "reject", "carve", "at cost", "template",
)  # fmt: skip
"""Words of the maker's side that stand on no client's page; a stage among them."""

YES = {"name": "Osric Pondweed", "dated": TODAY.isoformat()}


@pytest.fixture(autouse=True)
def the_day(monkeypatch, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def quote(workshop):
    return make_offered_quote()


@pytest.fixture
def secret(quote):
    return make_secret(quote)


def whole(page):
    """Everything that goes over the line, headers and cookies too, and the text without its tags.

    The style sheet of the desk's margin is no word about margins.
    """
    body = page.content.decode().replace("margin.css", "")
    read = re.sub(r"<[^>]*>", "", body)
    return "\n".join([page.serialize_headers().decode(), page.cookies.output(), body, read])


def every_answer(client, secret):
    """Every page of a link: read, repriced, refused, accepted, and after."""
    at = f"/offer/{secret}/"
    yield client.get(at)
    yield client.get(f"{at}?choosing=1&option=Scroll+and+points")
    yield client.get(f"{at}?choosing=1", headers={"HX-Request": "true"})
    yield client.get(f"{at}?choosing=1&option=x", headers={"Accept": "application/json"})
    yield client.post(f"{at}accept/", {"name": ""})
    yield client.post(f"{at}accept/", YES | {"choosing": "1", "option": "x"})
    yield client.post(f"{at}accept/", YES | {"choosing": "1", "option": "Scroll and points"})
    yield client.get(at)
    yield client.post(f"{at}decline/", {"words": "no"})
    yield client.get("/offer/wrong/")


def test_no_answer_shows_what_belongs_to_the_maker(client, secret):
    for page in every_answer(client, secret):
        text = whole(page).lower()
        assert [word for word in (*SECRET_WORDS, *SECRET_FIGURES) if word in text] == []
        assert f"{ClientLink.objects.get().secret_sha256}" not in text


def test_the_maker_s_own_page_does_show_them(desk, quote):
    """The test above can fail: the same words are found where they belong."""
    text = whole(desk.get(f"/quotes/{quote.pk}/")).lower()
    figures = ("41.37", "27.31", "11.93", "17.25", "63.19")
    assert [figure for figure in figures if figure not in text] == []
    words = ("hour", "markup", "margin", "contingency", "shop rate", "labour", "carve")
    assert [word for word in words if word not in text] == []


def test_the_price_is_that_of_the_paper(client, quote, secret):
    text = client.get(f"/offer/{secret}/").content.decode()
    document = quote.frozen["paper"]["totals"]
    for figure in (document["net"], document["gross"]):
        assert f"{Decimal(figure):,.2f}" in text
    assert "Teardrop body, nut 29 mm." in text


def test_choosing_reprices_without_a_reload(client, quote, secret):
    scroll = next(c for c in quote.frozen["choices"] if c["name"] == "Scroll and points")
    page = client.get(
        f"/offer/{secret}/?choosing=1&option=Binding&option=Scroll and points",
        headers={"HX-Request": "true"},
    )
    text = page.content.decode()
    assert text.lstrip().startswith('<div id="offer-price"')
    net = Decimal(quote.frozen["paper"]["totals"]["net"]) + Decimal(scroll["net"])
    assert f"{net:,.2f}" in text
    assert Quote.objects.count() == 1


@pytest.mark.parametrize("path", ["", "paper/", "signed/", "nothing-open/"])
def test_answers_are_kept_from_other_sites_searches_and_caches(client, secret, path):
    at = f"/offer/{secret}/{path}" if path != "nothing-open/" else "/offer/wrong/"
    page = client.get(at)
    assert page["Referrer-Policy"] == "no-referrer"
    assert "noindex" in page["X-Robots-Tag"]
    assert "no-store" in page["Cache-Control"]
    assert not page.cookies


def test_it_opens_without_signing_in_and_leads_nowhere_else(client, secret):
    text = client.get(f"/offer/{secret}/").content.decode()
    assert 'href="/quotes/' not in text
    assert "/login/" not in text
    assert "Sign out" not in text


def test_a_form_from_a_browser_without_cookies_is_taken(secret):
    browser = Browser(enforce_csrf_checks=True)
    page = browser.post(f"/offer/{secret}/accept/", YES, headers={"Origin": "null"})
    assert (page.status_code, page["Location"]) == (302, f"/offer/{secret}/")


def test_accepting_shows_thanks_and_the_record(client, quote, secret):
    assert b"was not accepted by this link" in client.get(f"/offer/{secret}/signed/").content
    page = client.post(f"/offer/{secret}/accept/", YES, follow=True)
    text = page.content.decode()
    assert "Ordered. Thank you, Osric Pondweed." in text
    assert "<form" not in text
    assert client.get(f"/offer/{secret}/signed/").content.startswith(b"%PDF-")
    assert Build.objects.count() == 1


def test_a_replayed_yes_orders_once(client, secret):
    for _ in range(3):
        assert client.post(f"/offer/{secret}/accept/", YES).status_code == 302
    assert (Build.objects.count(), Decision.objects.count()) == (1, 1)


def test_declining_with_a_word(client, quote, secret):
    page = client.post(f"/offer/{secret}/decline/", {"words": "Not this year."}, follow=True)
    assert "Not this year." in page.content.decode()
    assert Quote.objects.get().decline_reason == "Not this year."


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ({}, 422),
        ({"name": "Osric", "dated": "yesterday"}, 422),
        ({"name": "Osric\x00", "dated": TODAY.isoformat()}, 422),
        ({"name": "O" * 121, "dated": TODAY.isoformat()}, 422),
        ({"name": "Osric", "dated": "2020-01-01"}, 409),
        (YES | {"choosing": "1", "option": "Binding' OR 1=1"}, 409),
        (YES | {"choosing": "1", "option": "Carve scroll"}, 409),
    ],
    ids=[
        "nothing",
        "no date",
        "a null byte",
        "too long",
        "old date",
        "an attack",
        "a stage's name",
    ],
)
def test_a_tampered_yes_is_answered_and_orders_nothing(client, quote, secret, sent, status):
    assert client.post(f"/offer/{secret}/accept/", sent).status_code == status
    assert not Build.objects.exists()
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_figures_sent_along_are_not_read(client, quote, secret):
    forged = YES | {"gross": "1.00", "quote": "1", "shop_rate": "0", "state": "accepted"}
    client.post(f"/offer/{secret}/accept/", forged)
    accepted = Quote.objects.get()
    assert (accepted.gross, accepted.shop_rate) == (quote.gross, Decimal("41.37"))


def test_one_link_opens_one_quote_only(client, quote, secret):
    other = edit_quote(
        quote=make_quote(make_commission(make_client("Lune Farthing-Quill")), quote.template),
        title="Lune’s guitar",
    )
    other = issue_quote(quote=other, on=TODAY, now=NOW)
    text = client.get(f"/offer/{secret}/?quote={other.pk}&pk={other.pk}").content.decode()
    assert "Lune" not in text
    client.post(f"/offer/{secret}/accept/?pk={other.pk}", YES | {"pk": other.pk})
    assert Quote.objects.get(pk=other.pk).state == Quote.State.ISSUED


@pytest.mark.parametrize("number", [1, "1", "quote:1", "0" * 43, "../quotes/1"], ids=str)
def test_guessed_addresses_open_nothing(client, quote, secret, number):
    page = client.get(f"/offer/{number}/")
    assert page.status_code in {302, 404}
    assert "Little mandolin" not in page.content.decode()


def test_every_mistyped_address_below_the_links_has_the_clients_plain_answer(client, secret):
    wrong = client.get("/offer/no-such-secret/")
    for path in ["", "a/b/", f"{secret}/papers/", f"{secret}/paper/2", f"{secret}.", "%C3%A9/"]:
        answer = client.get(f"/offer/{path}")
        assert (answer.status_code, answer.content) == (404, wrong.content)
        assert answer["Referrer-Policy"] == "no-referrer"


@pytest.mark.parametrize("what", ["", "/paper", "/accept"])
def test_an_address_without_its_last_slash_is_led_on(client, secret, what):
    for key in (secret, "no-such-secret"):
        assert client.get(f"/offer/{key}{what}").url == f"/offer/{key}{what}/"


@pytest.mark.parametrize("what", ["accept", "decline"])
def test_coming_back_to_an_answer_leads_to_the_quote(client, secret, what):
    assert client.get(f"/offer/{secret}/{what}/").url == f"/offer/{secret}/"


def test_mistyped_ended_and_withdrawn_links_look_the_same(client, quote, secret, monkeypatch):
    wrong = client.get(f"/offer/{secret[:-2]}xx/")
    withdraw_link(link=ClientLink.objects.get(), now=NOW)
    withdrawn = client.get(f"/offer/{secret}/")
    ended = make_secret(quote, days=0)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=1))
    late = client.get(f"/offer/{ended}/")
    assert wrong.status_code == withdrawn.status_code == late.status_code == 404
    assert wrong.content == withdrawn.content == late.content
    for path in ("paper/", "signed/"):
        assert client.get(f"/offer/{secret}/{path}").content == wrong.content
    for path in ("accept/", "decline/"):
        assert client.post(f"/offer/{secret}/{path}", YES).status_code == 404
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_an_old_version_s_link_says_where_the_new_one_is(client, quote, secret):
    issue_quote(quote=revise_quote(quote=quote, on=TODAY), on=TODAY, now=NOW)
    assert "A newer quote replaces this one" in client.get(f"/offer/{secret}/").content.decode()
    assert client.post(f"/offer/{secret}/accept/", YES).status_code == 409
    assert not Build.objects.exists()


def test_a_lapsed_quote_can_be_read_but_not_ordered(client, quote, secret, monkeypatch):
    late = NOW + timedelta(days=31)
    monkeypatch.setattr("django.utils.timezone.now", lambda: late)
    text = client.get(f"/offer/{secret}/").content.decode()
    assert "This quote expired on 8 April 2027" in text
    assert "I order this instrument" not in text
    sent = {"name": "Osric", "dated": late.date().isoformat()}
    assert client.post(f"/offer/{secret}/accept/", sent).status_code == 409


def test_a_piece_that_has_gone_is_told_kindly_and_to_the_maker(client, desk, quote, secret):
    lot = Lot.objects.first()
    quote.materials.filter(name="top").update(lot=lot)
    reserve_stock(
        material=lot.material,
        quantity=Decimal(1),
        lot=lot,
        holder="build:99",
        holder_name="2027-99",
        now=NOW,
    )
    page = client.post(f"/offer/{secret}/accept/", YES)
    text = page.content.decode()
    assert "A piece meant for this instrument is no longer available" in text
    assert lot.number not in text
    assert "2027-99" not in text
    told = desk.get("/books/today/").content.decode()
    assert "wanted to accept, but a piece is no longer available" in told
    assert f"{lot.number} is reserved for 2027-99" in told


def test_reading_is_noted_but_not_the_maker_s_own(client, desk, quote, secret):
    Browser().get(f"/offer/{secret}/")
    link = ClientLink.objects.get()
    assert (link.opened_at, link.seen_at) == (NOW, NOW)
    ClientLink.objects.update(opened_at=None, seen_at=None)
    desk.get(f"/offer/{secret}/")
    assert ClientLink.objects.get().seen_at is None


def test_the_page_asks_a_fixed_number_of_questions(
    client, quote, secret, django_assert_num_queries
):
    with django_assert_num_queries(6):
        client.get(f"/offer/{secret}/")


def test_the_maker_makes_withdraws_and_reads(desk, quote):
    page = desk.post(f"/quotes/{quote.pk}/link/", {"expires_on": "2027-04-30"})
    text = page.content.decode()
    assert "no-store" in page["Cache-Control"]
    secret = text.split("/offer/")[1].split("/")[0]
    assert Browser().get(f"/offer/{secret}/").status_code == 200
    assert secret not in desk.get(f"/quotes/{quote.pk}/").content.decode()
    link = ClientLink.objects.get()
    desk.post(f"/quotes/links/{link.pk}/withdraw/")
    assert Browser().get(f"/offer/{secret}/").status_code == 404


def test_the_maker_is_told_until_it_is_seen(client, desk, quote, secret):
    Browser().post(f"/offer/{secret}/accept/", YES)
    message = ClientMessage.objects.get()
    assert "Osric Pondweed accepted" in desk.get(f"/quotes/{quote.pk}/").content.decode()
    assert "Osric Pondweed" in desk.get("/books/today/").content.decode()
    assert desk.get(f"/quotes/{quote.pk}/acceptance/").content.startswith(b"%PDF-")
    page = desk.post(f"/quotes/messages/{message.pk}/seen/", {"next": "https://elsewhere.example"})
    assert page["Location"] == f"/quotes/{quote.pk}/"
    assert "Osric Pondweed" not in desk.get("/books/today/").content.decode()


def test_a_quote_nobody_accepted_by_link_has_no_record(desk, quote):
    assert desk.get(f"/quotes/{quote.pk}/acceptance/").status_code == 404


def test_what_is_wrong_stands_where_the_client_signs(client, secret):
    page = client.post(f"/offer/{secret}/accept/", YES | {"dated": "2020-01-01"})
    text = page.content.decode()
    assert f'action="/offer/{secret}/accept/#order"' in text
    assert text.index('id="order"') < text.index("Not ordered yet.") < text.index("Your name")


def test_a_missing_name_is_asked_for_without_a_word_of_saving(client, secret):
    text = client.post(f"/offer/{secret}/accept/", YES | {"name": ""}).content.decode()
    assert "Not sent yet. Please check:" in text
    assert "Not saved" not in text
