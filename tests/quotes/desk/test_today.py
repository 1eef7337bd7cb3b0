from datetime import timedelta

import pytest
from django.urls import reverse

from quotes.desk.queries import todays_books
from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import ClientMessage, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def template(workshop):
    make_policy()
    row = make_template("Little mandolin")
    make_template_stage(row, "Carve", hours=("2", "20", "80"))
    return row


@pytest.fixture
def issued(template):
    return issue_one(template)


def issue_one(template, name="Osric Pondweed"):
    quote = make_quote(make_commission(make_client(name)), template, on=TODAY)
    return issue_quote(quote=quote, on=TODAY, now=NOW)


@pytest.mark.parametrize(
    ("days", "is_shown"),
    [(-1, False), (0, True), (7, True), (8, False)],
    ids=["lapsed yesterday", "expires tonight", "in a week", "in eight days"],
)
def test_a_quote_needs_a_word_in_its_last_week(issued, days, is_shown):
    Quote.objects.filter(pk=issued.pk).update(valid_until=TODAY + timedelta(days=days))
    assert [one.quote for one in todays_books(TODAY).lapsing] == ([issued] if is_shown else [])


def test_an_accepted_quote_no_longer_lapses(issued):
    accept_quote(quote=issued, on=TODAY, now=NOW)
    assert todays_books(issued.valid_until).lapsing == []


@pytest.mark.parametrize(("days", "late"), [(13, None), (14, 0), (20, 6)])
def test_money_is_shown_from_the_day_it_is_due(issued, days, late):
    quote = accept_quote(quote=issued, on=TODAY, now=NOW).quote
    issue_invoice(quote=quote, part=0, on=TODAY, due_on=TODAY + timedelta(days=14))
    due = todays_books(TODAY + timedelta(days=days)).due
    assert [one.days_late for _, one in due] == ([] if late is None else [late])


def test_what_a_client_said_stays_until_it_is_seen(issued):
    said = ClientMessage.objects.create(
        quote=issued, about="accepted", name="Osric Pondweed", words="Gladly.", said_at=NOW
    )
    assert todays_books(TODAY).said == [said]
    ClientMessage.objects.update(seen_at=NOW)
    assert todays_books(TODAY).said == []


def test_the_page_names_each_of_them(desk, issued):
    ClientMessage.objects.create(quote=issued, about="gone", name="Osric", said_at=NOW)
    Quote.objects.update(valid_until=TODAY)
    page = desk.get(reverse("today_books")).content.decode()
    assert "expires tonight" in page
    assert "wanted to accept, but a piece is no longer available" in page
    assert f'href="{reverse("quote", args=[issued.pk])}"' in page


def test_nothing_is_shown_where_nothing_needs_a_hand(desk, workshop):
    assert desk.get(reverse("today_books")).content.decode().strip() == ""


@pytest.mark.parametrize("number", [1, 25])
def test_the_books_of_the_day_take_seven_queries(template, number, django_assert_num_queries):
    first = issue_one(template)
    issue_invoice(quote=accept_quote(quote=first, on=TODAY, now=NOW).quote, part=0, on=TODAY)
    again = issue_one(template, "Lune Farthing-Quill")
    for copy in range(number):
        again.pk, again.number = None, f"Q-{copy}"
        again.valid_until = TODAY + timedelta(days=3)
        again.save()
        ClientMessage.objects.create(quote=again, about="declined", name="Lune", said_at=NOW)
    with django_assert_num_queries(7):
        books = todays_books(TODAY + timedelta(days=1))
        assert all(one.quote.commission.client for one in books.lapsing)
        assert all(one.quote.commission.client for one in books.said)
    assert len(books.lapsing) == len(books.said) == min(number, 20)


def test_messages_come_first_then_money_and_only_what_is_late_or_wrong_is_red(desk, template):
    first = issue_one(template)
    issue_invoice(
        quote=accept_quote(quote=first, on=TODAY, now=NOW).quote,
        part=0,
        on=TODAY - timedelta(days=30),
        due_on=TODAY - timedelta(days=10),
    )
    again = issue_one(template, "Lune Farthing-Quill")
    Quote.objects.filter(pk=again.pk).update(valid_until=TODAY)
    ClientMessage.objects.create(quote=first, about="accepted", name="Osric", said_at=NOW)
    rows = desk.get(reverse("today_books")).content.decode().split("<tr")[2:]
    assert ["accepted" in rows[0], "late" in rows[1], "expires tonight" in rows[2]] == [True] * 3
    assert ['class="hand"' in row for row in rows] == [False, True, False]
    assert "EUR</span>" in rows[1]
