"""Every page opens, holds its number of queries, and sends a stranger to sign in."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.services.edit import add_build_note
from shop.builds.services.stock import draw_for_build, reserve_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import BuildTemplate
from shop.patterns.services.templates import load_starters
from tests.factories import make_material
from tests.shop.factories import NOW, TODAY, make_build, planned_line, planned_stage

pytestmark = pytest.mark.django_db


def busy_build(person, material, title="Carved mandolin"):
    build = make_build(
        title,
        stages=[planned_stage("Bend ribs", "6.5"), planned_stage("Carve neck", "3")],
        lines=[planned_line(material, "930", to_draw=Decimal("1041.6"))],
        promised_on=TODAY,
    )
    reserve_for_build(build=build, now=NOW)
    draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(100), now=NOW)
    work = [Work(build=build, stage=build.stages.first())]
    log_hours(person=person, day=TODAY, minutes=75, work=work, now=NOW, started_at=NOW)
    add_build_note(build=build, text="Graduated to 4.2 mm", user=person, now=NOW)
    return build


@pytest.fixture
def fretwire(workshop):
    material = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m")
    line = NewLine(material=material, quantity=Decimal(3000), price=Decimal(12))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return material


@pytest.fixture
def build(posy, fretwire):
    load_starters()
    return busy_build(posy, fretwire)


def pages_of(build):
    template = BuildTemplate.objects.first()
    entry = build.time_shares.get().entry
    draw = build.draws.get()
    return [
        reverse("today"),
        reverse("builds"),
        reverse("builds") + "?state=all&q=mandolin",
        *(reverse(name, args=[build.pk]) for name in BUILD_PAGES),
        reverse("build_draw", args=[build.pk]) + f"?line={build.lines.get().pk}",
        reverse("line_material", args=[build.lines.get().pk]),
        reverse("build_piece", args=[build.lines.get().pk]),
        reverse("draw_return", args=[draw.pk]),
        reverse("draw_scrap", args=[draw.pk]),
        reverse("hours"),
        reverse("hours_day", args=[TODAY]),
        reverse("hours_week", args=[TODAY]),
        reverse("hours_month", args=[TODAY]),
        reverse("hours_entry", args=[entry.pk]),
        reverse("templates"),
        reverse("template_new"),
        *(reverse(name, args=[template.pk]) for name in TEMPLATE_PAGES),
        reverse("template_line", args=[template.lines.first().pk]),
        *(reverse(name) for name in WORKSHOP_PAGES),
    ]


BUILD_PAGES = [
    "build",
    "build_material",
    "build_hours",
    "build_notes",
    "build_edit",
    "build_draw",
    "job_card",
]
TEMPLATE_PAGES = [
    "template",
    "template_edit",
    "template_copy",
    "template_stages",
    "template_options",
    "template_line_new",
]
WORKSHOP_PAGES = ["workshop", "workshop_edit", "week_edit", "day_off_add", "person_add", "devices"]


def test_every_page_opens(desk, build):
    for page in pages_of(build):
        answer = desk.get(page)
        assert (page, answer.status_code) == (page, 200)
        assert "<h1" in answer.text


def test_a_stranger_is_sent_to_sign_in(client, build):
    for page in pages_of(build):
        assert client.get(page).url.startswith(reverse("login")), page


def test_a_looker_on_reads_and_changes_nothing(client, looker_on, build):
    client.force_login(looker_on)
    assert client.get(reverse("build", args=[build.pk])).status_code == 200
    answer = client.post(reverse("build_act", args=[build.pk, "cancel"]))
    assert answer.status_code == 403
    build.refresh_from_db()
    assert build.is_open


LISTS = {
    "today": 16,
    "builds": 14,
    "hours": 13,
    "templates": 5,
}


@pytest.mark.parametrize("number", [1, 25])
@pytest.mark.parametrize("name", LISTS)
def test_a_page_takes_the_same_queries_at_any_length(
    desk, posy, fretwire, name, number, django_assert_num_queries
):
    if name == "templates":
        load_starters()
    for count in range(number):
        busy_build(posy, fretwire, f"Mandolin {count}")
    page = reverse("hours_day", args=[TODAY]) if name == "hours" else reverse(name)
    desk.get(page)
    with django_assert_num_queries(LISTS[name]):
        assert desk.get(page).status_code == 200
