"""The day on a quote: by the queue, behind what is open, and what a rush costs the others."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from quotes.models import Quote
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.ready import books_with, ready_by_queue
from quotes.quoting.queries.queue import if_yes
from quotes.quoting.services.decide import decline_quote
from quotes.quoting.services.issue import issue_quote
from shop.queue.queries.forecast import queue_on, work_out
from shop.queue.queries.trying import NEW, Trial
from tests.quotes.factories import ON, make_quote
from tests.shop.factories import NOW
from tests.shop.queue.factories import make_pattern, queue_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_quote()


def test_a_quote_is_sent_with_the_safe_day_of_the_queue(draft):
    before = ready_by_queue(draft, ON)[draft.pk]
    pattern = make_pattern()
    for number in range(3):
        queue_build(pattern, f"Mandolin {number}", made_on=ON - timedelta(days=9 - number))
    found = ready_by_queue(draft, ON)[draft.pk]
    assert found.day > before.day + timedelta(days=30)
    assert found.because == "kept in 80 of 100 cases, behind 3 open builds"
    sent = offer_of(issue_quote(quote=draft, on=ON, now=NOW), on=ON)
    assert (sent.ready_on, sent.ready_because) == (found.day, found.because)
    assert [step.name for step in sent.ready_steps] == [one.name for one in sent.stages]


def test_the_hours_of_the_rush_price_keep_the_dates_of_the_others(draft):
    pattern = make_pattern()
    queue_build(pattern, "One", made_on=ON - timedelta(days=9))
    found = if_yes(draft, ON)
    assert found.first.later > 0
    price = found.rush_price
    (before,) = queue_on(ON).forecasts.values()
    trial = Trial(hours_a_week=price.hours_a_week, hours_until=price.until)
    rushed = books_with(draft, queue_on(ON).books, 1)
    kept = [
        work_out(books)[f"{before.build}"].chance_of(before.day_80)
        for books in (rushed, trial.of(rushed))
    ]
    assert kept[0] < 0.5
    assert kept[1] > 0.7
    assert price.amount == price.hours * draft.shop_rate
    assert price.hours <= sum(stage.hours for stage in draft.stages.all())


def test_without_open_builds_nobody_waits_and_a_rush_has_no_price(draft):
    found = if_yes(draft, ON)
    assert found.place == 1
    assert found.rush_price is None


def test_the_page_and_the_api_tell_the_same(desk, draft):
    pattern = make_pattern()
    queue_build(pattern, "One", made_on=ON - timedelta(days=9))
    page = desk.get(reverse("quote_queue", args=[draft.pk])).content.decode()
    told = desk.get(f"/api/v1/quotes/{draft.pk}/if-accepted/").json()
    assert told["place"] == 2
    assert told["forecast"]["day_80"] <= told["forecast"]["day_90"]
    assert told["rushed"]["day_80"] < told["forecast"]["day_80"]
    assert "Rush price" in page
    assert Quote.objects.get(pk=draft.pk).is_draft


def test_hours_until_a_day_change_nothing_after_it(draft):
    queue_build(make_pattern(), "One", made_on=ON - timedelta(days=9))
    books = queue_on(ON).books
    trial = Trial(hours_a_week=5, hours_until=ON + timedelta(days=6)).of(books)
    assert sum(trial.shop.hands[0][:7]) == pytest.approx(
        sum(books.shop.hands[0][:7]) + 300 / books.shared.share
    )
    assert trial.shop.hands[0][7:] == books.shop.hands[0][7:]
    assert NEW not in work_out(trial, 20)


def test_sent_quotes_are_faint_lanes_below_the_queue(desk, draft):
    queue_build(make_pattern(), "One")
    today = timezone.localdate()
    sent = issue_quote(quote=draft, on=today, now=timezone.now())
    page = desk.get(reverse("queue_picture")).content.decode()
    assert f"{sent}" in page
    assert "Outlined: quotes without an answer." in page
    assert reverse("queue_picture") in desk.get(reverse("queue")).content.decode()
    decline_quote(quote=sent, now=timezone.now())
    assert "Outlined" not in desk.get(reverse("queue_picture")).content.decode()
