"""Pages and the API of the queue: moved, promised, tried, and read by a calendar."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar
from pypdf import PdfReader

from shop.models import Build, CalendarLink, QueueForecast, QueuePlace, ShopThing, ThingUse
from shop.queue.queries.books import queued_builds
from shop.queue.queries.forecast import queue_on
from shop.queue.queries.trying import suggestion
from shop.queue.services import make_calendar_link, revoke_calendar_link
from tests.shop.queue.factories import make_pattern, queue_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def builds(workshop):
    pattern = make_pattern()
    return [queue_build(pattern, f"Mandolin {number}", 9 - number) for number in range(3)]


def order():
    return [build.title for build in queued_builds()]


@pytest.mark.parametrize(
    "name", ["queue", "queue_today", "queue_buying", "promises", "what_if", "queue_suggested"]
)
def test_pages_open_with_and_without_builds(desk, workshop, name):
    assert desk.get(reverse(name)).status_code == 200
    queue_build(make_pattern())
    assert desk.get(reverse(name)).status_code == 200


def test_the_queue_shows_every_build_with_its_days_in_a_table(desk, builds):
    page = desk.get(reverse("queue")).content.decode()
    for build in builds:
        assert page.count(f'data-build="{build.pk}"') == 1
    assert "Safe (80 %)" in page
    assert page.count("<svg") >= 2


def test_a_build_is_moved_by_a_plain_form(desk, builds):
    desk.post(reverse("queue_move", args=[builds[2].pk]), {"place": 1})
    assert order() == ["Mandolin 2", "Mandolin 0", "Mandolin 1"]


def test_builds_are_moved_by_sending_their_order(desk, builds):
    keys = [builds[1].pk, builds[2].pk, builds[0].pk]
    desk.post(reverse("queue_order"), {"build": keys})
    assert order() == ["Mandolin 1", "Mandolin 2", "Mandolin 0"]


@pytest.mark.parametrize("sent", [{}, {"build": ["x"]}, {"build": ["999999"]}])
def test_an_order_that_cannot_be_read_changes_nothing(desk, builds, sent):
    answer = desk.post(reverse("queue_order"), sent, follow=True)
    assert answer.status_code == 200
    assert order() == ["Mandolin 0", "Mandolin 1", "Mandolin 2"]


def test_looking_at_the_queue_keeps_nothing_and_keeping_is_asked_for(desk, builds):
    desk.get(reverse("queue"))
    assert not QueueForecast.objects.exists()
    desk.post(reverse("queue_keep"))
    assert QueueForecast.objects.count() == 1


def test_the_queue_asks_as_much_of_many_builds_as_of_few(desk, builds, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as few:
        desk.get(reverse("queue"))
    for number in range(4):
        queue_build(builds[0].template, f"More {number}")
    with CaptureQueriesContext(connection) as many:
        desk.get(reverse("queue"))
    assert len(few) == len(many)


def test_a_promise_is_made_at_its_form(desk, builds):
    day = timezone.localdate() + timedelta(days=90)
    answer = desk.post(reverse("queue_promise", args=[builds[0].pk]), {"day": day.isoformat()})
    assert answer.status_code == 302
    assert Build.objects.get(pk=builds[0].pk).promised_on == day
    again = desk.post(
        reverse("queue_promise", args=[builds[0].pk]),
        {"day": (day + timedelta(days=5)).isoformat()},
    )
    assert again.status_code == 422
    assert b"Enter how the client was told" in again.content


def test_what_a_build_waits_for_is_noted(desk, builds):
    day = timezone.localdate() + timedelta(days=30)
    desk.post(
        reverse("queue_block", args=[builds[0].pk]),
        {"not_before": day.isoformat(), "waits_for": "the deposit"},
    )
    assert QueuePlace.objects.get(build=builds[0]).waits_for == "the deposit"


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"first": "2030-01-05"}, "Give the first and the last day off."),
        ({"first": "2030-01-05", "last": "2030-01-01"}, "The last day off is before the first."),
        ({"more": "2", "thing": ""}, ""),
    ],
)
def test_what_if_says_what_is_missing(desk, builds, asked, words):
    answer = desk.get(reverse("what_if"), asked)
    assert words in answer.content.decode()
    assert answer.status_code == (422 if words else 200)


def test_what_if_shows_both_sides_and_saves_nothing(desk, builds):
    answer = desk.get(
        reverse("what_if"),
        {"accept": builds[0].template_id, "accept_place": 1, "hours_a_week": "3"},
    )
    assert "the new one" in answer.content.decode()
    assert Build.objects.count() == 3


def test_a_thing_held_for_ever_is_refused_at_the_form(desk, builds):
    stages = {stage.name: stage for stage in builds[0].template.stages.all()}
    mould = ShopThing.objects.create(name="mould", count=1)
    address = reverse("thing_use", args=[mould.pk])
    sent = {"stage": stages["Close the box"].pk, "until": stages["Bend ribs"].pk, "units": 1}
    answer = desk.post(address, sent)
    assert answer.status_code == 422
    assert "would be held for ever" in answer.content.decode()
    assert not ThingUse.objects.exists()
    assert desk.post(address, sent | {"units": 4, "until": ""}).status_code == 422
    assert desk.post(address, sent | {"until": ""}).status_code == 302


def test_settings_and_their_forms_open(desk, builds):
    thing = ShopThing.objects.create(name="mould", count=1)
    for address in (
        reverse("queue_settings"),
        reverse("thing_new"),
        reverse("thing", args=[thing.pk]),
        reverse("thing_use", args=[thing.pk]),
        reverse("hands_new"),
    ):
        assert desk.get(address).status_code == 200


def test_a_calendar_reads_the_queue_until_its_address_is_revoked(client, builds):
    build = builds[0]
    build.promised_on = timezone.localdate() + timedelta(days=100)
    build.save()
    secret = make_calendar_link(now=timezone.now())
    address = reverse("queue_calendar", args=[secret])
    answer = client.get(address)
    events = Calendar.from_ical(answer.content).walk("VEVENT")
    assert f"Promised: {build}" in {f"{event['summary']}" for event in events}
    assert secret not in {link.secret_sha256 for link in CalendarLink.objects.all()}
    revoke_calendar_link(now=timezone.now())
    assert client.get(address).status_code == 404
    assert client.get(reverse("queue_calendar", args=["guessed"])).status_code == 404


def test_the_api_moves_tries_and_tells(desk, builds):
    def post(path, **data):
        return desk.post(f"/api/v1/queue/{path}", data, content_type="application/json")

    assert [one["build"] for one in desk.get("/api/v1/queue/").json()["builds"]] == [
        build.pk for build in builds
    ]
    moved = post("move/", build=builds[2].pk, place=1).json()
    assert moved["builds"][0]["build"] == builds[2].pk
    tried = post("what-if/", accept=builds[0].template_id, accept_place=1).json()
    assert tried[0]["key"] == "new"
    assert post("move/", build=builds[2].pk, place=9).status_code in {400, 409, 422}
    assert desk.get("/api/v1/queue/today/").json()["free"]
    assert desk.get("/api/v1/queue/to-buy/").json() == []
    found = desk.get(f"/api/v1/builds/{builds[0].pk}/forecast/").json()
    assert found["day_50"] <= found["day_80"] <= found["day_90"]


def test_a_build_s_page_asks_for_its_forecast(desk, builds):
    assert (
        reverse("build_forecast", args=[builds[0].pk])
        in desk.get(reverse("build", args=[builds[0].pk])).content.decode()
    )
    part = desk.get(reverse("build_forecast", args=[builds[0].pk])).content.decode()
    assert "Typical (50 %)" in part


def test_a_month_shows_work_promised_and_safe_dates_on_their_days(desk, builds):
    build = builds[0]
    on = timezone.localdate()
    build.promised_on = on + timedelta(days=3)
    build.save()
    answer = desk.get(reverse("queue_month", args=[on.year, on.month]))
    weeks = answer.context["weeks"]
    days = {day.day: day for week in weeks for day in week}
    assert all(len(week) == 7 and week[0].day.weekday() == 0 for week in weeks)
    forecast = queue_on(on).of(build)
    for stage in forecast.stages:
        if stage.starts in days:
            assert (build, stage.name) in days[stage.starts].work
    if build.promised_on in days:
        assert days[build.promised_on].promised == [build]
    if forecast.day_80 in days:
        assert build in days[forecast.day_80].safe


@pytest.mark.parametrize("asked", [(2000, 1), (2100, 13), (2100, 1)])
def test_a_month_that_the_queue_does_not_know_leads_to_this_one(desk, builds, asked):
    on = timezone.localdate()
    assert desk.get(reverse("queue_month", args=asked)).url == reverse(
        "queue_month", args=[on.year, on.month]
    )


def test_the_wall_sheet_is_one_page_with_every_build(desk, builds):
    sent = desk.get(reverse("queue_wall"))
    pages = PdfReader(BytesIO(sent.content)).pages
    assert len(pages) == 1
    for build in builds:
        assert build.serial in pages[0].extract_text()


@pytest.mark.parametrize("name", ["queue", "queue_today"])
def test_a_viewer_s_page_does_not_ask_to_keep_the_forecast(client, posy, looker_on, builds, name):
    client.force_login(posy)
    assert reverse("queue_keep") in client.get(reverse(name)).text
    client.force_login(looker_on)
    seen = client.get(reverse(name))
    assert seen.status_code == 200
    assert builds[0].serial in seen.text
    assert reverse("queue_keep") not in seen.text


def test_a_long_queue_is_paged_and_its_places_go_on(desk, builds, monkeypatch):
    monkeypatch.setattr("shop.queue.pages.queue.PAGE", 2)
    first, second = (desk.get(reverse("queue"), {"page": number}).text for number in (1, 2))
    assert first.count("data-build=") == 2
    assert second.count("data-build=") == 1
    assert builds[2].title in second
    assert '<td data-label="Place" class="num">3</td>' in second
    assert builds[2].title not in first
    assert "data-queue" not in first  # a page of the order can't be dragged as if it were all of it


def test_a_suggested_order_is_looked_for_after_the_page_has_said_so(desk, builds):
    at = reverse("queue_suggested")
    assert "<progress" in desk.get(at).text
    assert "<progress" not in desk.get(at, {"search": 1}).text


def test_a_suggested_order_moves_only_the_first_builds(desk, builds, monkeypatch):
    monkeypatch.setattr("shop.queue.queries.trying.MOST_MOVED", 2)
    books = queue_on(timezone.localdate()).books
    promised = builds[1]
    promised.promised_on = timezone.localdate() + timedelta(days=45)
    promised.save()
    found = suggestion(queue_on(timezone.localdate()).books)
    assert found is not None
    assert set(found.order) == {job.key for job in books.jobs[:2]}
    assert [row.key for row in found.comparison.rows] == [*found.order, books.jobs[2].key]
    assert found.behind == 1
    behind = found.comparison.rows[-1]
    assert behind.before.day_80
    assert behind.after.day_80
    page = desk.get(reverse("queue_suggested"), {"search": 1}).text
    assert "those behind keep their places, and their dates may move" in page
    monkeypatch.setattr("shop.queue.queries.trying.MOST_MOVED", 3)
    page = desk.get(reverse("queue_suggested"), {"search": 1}).text
    assert "Use this order" in page
    assert "those behind" not in page


def test_what_a_month_s_figures_count_is_listed_behind_them(desk, builds):
    said = {"days": ["2025-05-10", "2025-05-20", "2025-05-30"]}
    kept = {f"{builds[0].pk}": said}
    QueueForecast.objects.create(
        on=date(2025, 3, 2), stamp="x", made_at=timezone.now(), builds=kept
    )
    page = desk.get(reverse("promises")).text
    # Behind the number of all, and of those still open.
    assert page.count('<time datetime="2025-05-20">20 May 2025</time></td><td>still open</td>') == 2
