"""Forms of the desk: what they change, and what they say when they decline."""

from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from knox.models import AuthToken

from inventory.base.roles import role_of
from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, Promise, StockEntry
from inventory.purchasing.services.deliveries import receive_delivery
from shop.models import BuildState, BuildTemplate, TimeEntry
from shop.patterns.services.templates import load_starters
from tests.conftest import make_person
from tests.factories import make_material
from tests.shop.factories import (
    NOW,
    TODAY,
    make_build,
    make_template,
    make_template_line,
    make_template_stage,
    planned_line,
    planned_stage,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def binding(workshop):
    material = make_material("Binding", KeptAs.LENGTH, unit="m")
    line = NewLine(material=material, quantity=Decimal(5000), price=Decimal(20))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return material


@pytest.fixture
def build(posy, binding):
    stages = [planned_stage("Bend ribs", "6.5"), planned_stage("Binding and purfling", "7")]
    return make_build(stages=stages, lines=[planned_line(binding, "3400")])


def send(desk, page, pk=None, /, **data):
    return desk.post(reverse(page, args=[] if pk is None else [pk]), data)


def test_a_build_goes_through_its_states(desk, build):
    stage = build.stages.first()
    for act in ("start", "finish", "reopen"):
        desk.post(reverse("stage_act", args=[stage.pk, act]))
    stage.refresh_from_db()
    assert stage.started_at
    assert not stage.finished_at
    for act, state in (("finish", BuildState.FINISHED), ("close", BuildState.CLOSED)):
        desk.post(reverse("build_act", args=[build.pk, act]))
        build.refresh_from_db()
        assert build.state == state


def test_a_build_may_begin_without_a_quote(desk, posy):
    template = make_template()
    make_template_stage(template, "Bend ribs")
    answer = send(desk, "build_new", template=template.pk, title="For the fair")
    build = template.builds.get()
    assert answer.url == reverse("build_material", args=[build.pk])
    assert build.stages.get().name == "Bend ribs"


def test_a_build_is_given_another_title_and_a_batch(desk, build):
    other = make_build()
    form = {"title": "Slim neck", "serial": build.serial, "batch_name": "Spring pair"}
    send(desk, "build_edit", build.pk, **form)
    build.refresh_from_db()
    assert (build.title, build.batch.name) == ("Slim neck", "Spring pair")
    taken = send(desk, "build_edit", build.pk, **form | {"serial": other.serial})
    assert "There is one with this Serial already" in taken.text


def test_what_is_declined_is_said_on_the_next_page(desk, build):
    answer = desk.post(reverse("build_act", args=[build.pk, "close"]), follow=True)
    assert "Mark it done before you close it out" in answer.text


@pytest.mark.parametrize("name", ["build_act", "stage_act"])
def test_there_are_no_other_acts(desk, build, name):
    pk = build.pk if name == "build_act" else build.stages.first().pk
    assert desk.post(reverse(name, args=[pk, "burn"])).status_code == 404


def test_putting_aside_then_drawing_in_metres(desk, build, binding):
    send(desk, "build_put_aside", build.pk)
    assert Promise.objects.get().outstanding == 3400
    page = reverse("build_draw", args=[build.pk]) + f"?line={build.lines.get().pk}"
    assert 'value="3.4"' in desk.get(page).text
    desk.post(page, {"quantity": "3.5"})
    assert StockEntry.objects.filter(reason="drawn").get().quantity == -3500


def test_a_draw_that_the_books_lack_is_recorded_and_pointed_out(desk, build):
    page = reverse("build_draw", args=[build.pk]) + f"?line={build.lines.get().pk}"
    answer = desk.post(page, {"quantity": "6"}, follow=True)
    assert "Count it to reconcile" in answer.text


def test_bringing_back_and_scrapping(desk, build):
    page = reverse("build_draw", args=[build.pk]) + f"?line={build.lines.get().pk}"
    desk.post(page, {"quantity": "3"})
    draw = build.draws.get()
    send(desk, "draw_return", draw.pk, quantity="0.5")
    send(desk, "draw_scrap", draw.pk, quantity="0.3", why="snapped in bending")
    too_much = send(desk, "draw_return", draw.pk, quantity="9")
    assert too_much.status_code == 409
    assert "still out" in too_much.text
    assert build.draws.count() == 2


def test_something_else_may_be_drawn(desk, build, binding):
    chosen = desk.get(reverse("build_draw", args=[build.pk]), {"material": binding.pk})
    assert "Draw Binding" in chosen.text
    desk.post(f"{reverse('build_draw', args=[build.pk])}?material={binding.pk}", {"quantity": "1"})
    assert build.draws.get().line is None


def test_something_else_is_found_by_its_name(desk, build, binding):
    page = reverse("build_draw", args=[build.pk])
    assert desk.get(page, {"material": "binding"}).url == f"{page}?material={binding.pk}"
    missed = desk.get(page, {"material": "bind"})
    assert f"Did you mean: {binding}?" in missed.text


def test_a_line_without_a_material_is_given_one(desk, posy, binding):
    template = make_template()
    line = make_template_line(template, "Binding", quantity=Decimal("3.4"), unit="m")
    planned = planned_line(binding, "3400", template_line=line)
    build = make_build(template=template, lines=[planned])
    build.lines.update(material=None)
    send(desk, "line_material", build.lines.get().pk, material=binding.name)
    assert build.lines.get().material == binding
    screws = make_material("Screws")
    declined = send(desk, "line_material", build.lines.get().pk, material=screws.name)
    assert "same kind of unit" in declined.text


def test_hours_in_one_line(desk, build):
    send(desk, "hours", line=f"yesterday, 2.5 h, binding, {build.serial}")
    entry = TimeEntry.objects.get()
    assert (entry.seconds, entry.shares.get().stage.name) == (9000, "Binding and purfling")


def test_a_line_that_is_not_understood_says_why(desk, build):
    answer = send(desk, "hours", line="yesterday, some hours, turnips")
    assert answer.status_code == 422
    assert "is not a day, time worked" in answer.text
    assert not TimeEntry.objects.exists()


def test_hours_field_by_field_and_put_right(desk, build):
    form = {"day": "2027-03-09", "length": "1:15", "builds": [build.pk], "stage": "Bend ribs"}
    desk.post(reverse("hours_day", args=[TODAY]), form | {"began_at": "08:40"})
    entry = TimeEntry.objects.get()
    assert (entry.day, entry.seconds, entry.started_at.hour) == (date(2027, 3, 9), 4500, 8)
    desk.post(
        reverse("hours_entry", args=[entry.pk]),
        form | {"length": "1.5", "why": "it was longer"},
    )
    entry.refresh_from_db()
    assert (entry.seconds, entry.raw_seconds, entry.corrections.get().why) == (
        5400,
        4500,
        "it was longer",
    )


def two_builds(build):
    other = make_build(template=build.template)
    return {"day": "2027-03-09", "length": "2", "builds": [build.pk, other.pk]}


def test_hours_of_two_builds_shared_by_hand(desk, build):
    desk.post(reverse("hours_day", args=[TODAY]), two_builds(build) | {"parts": "1:15 + 45 min"})
    entry = TimeEntry.objects.get()
    shares = entry.shares.order_by("-build_id").values_list("seconds", flat=True)
    assert (entry.split_by, list(shares)) == ("hand", [4500, 2700])
    put_right = two_builds(build) | {"length": "3", "parts": "1 + 2", "why": "asked again"}
    desk.post(reverse("hours_entry", args=[entry.pk]), put_right)
    assert list(shares.all()) == [3600, 7200]


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ("1:15", "Parts: 1, builds ticked: 2."),
        ("1:15 + 1", "too much"),
        ("a bit + 1", "not a time worked"),
    ],
    ids=["one part for two builds", "more than the whole", "no time at all"],
)
def test_parts_that_do_not_fit_are_told(desk, build, parts, sentence):
    answer = desk.post(reverse("hours_day", args=[TODAY]), two_builds(build) | {"parts": parts})
    assert answer.status_code == 422
    assert sentence in answer.text
    assert not TimeEntry.objects.exists()


def test_hours_of_somebody_else_in_the_shop(desk, build):
    bram = make_person("bram", "maker")
    form = {"day": "2027-03-09", "length": "1", "builds": [build.pk], "person": bram.pk}
    desk.post(reverse("hours_day", args=[TODAY]), form)
    assert TimeEntry.objects.get().person == bram


def test_hours_that_can_not_be_billed(desk, build):
    form = {"day": "2027-03-09", "length": "0.5", "reason": "clean-up"}
    desk.post(reverse("hours_day", args=[TODAY]), form)
    assert not TimeEntry.objects.get().is_billable


def test_a_template_is_made_changed_and_copied(desk, posy):
    load_starters()
    template = BuildTemplate.objects.get(name="Flat-top guitar")
    answer = send(desk, "template_copy", template.pk, name="Parlour guitar")
    copy = BuildTemplate.objects.get(name="Parlour guitar")
    assert answer.url == reverse("template", args=[copy.pk])
    taken = send(desk, "template_copy", template.pk, name="Parlour guitar")
    assert "There is already a template" in taken.text


def test_stages_are_changed_in_one_table(desk, posy):
    template = make_template()
    stage = make_template_stage(template, "Carve neck", position=1)
    form = {
        "stages-TOTAL_FORMS": "2",
        "stages-INITIAL_FORMS": "1",
        "stages-0-id": stage.pk,
        **row("0", name="Carve neck", hours_likely="3.5"),
        **row("1", name="Fret and dress", position="2"),
    }
    send(desk, "template_stages", template.pk, **form)
    assert list(template.stages.values_list("name", "hours_likely")) == [
        ("Carve neck", Decimal("3.5")),
        ("Fret and dress", Decimal(2)),
    ]


def test_hours_out_of_order_are_told(desk, posy):
    template = make_template()
    form = {
        "stages-TOTAL_FORMS": "1",
        "stages-INITIAL_FORMS": "0",
        **row("0", name="Carve neck", hours_likely="9"),
    }
    answer = send(desk, "template_stages", template.pk, **form)
    assert answer.status_code == 422
    assert "rise from low to likely to high" in answer.text


def row(number, **changed):
    fields = {
        "position": "1",
        "hours_low": "1",
        "hours_likely": "2",
        "hours_high": "4",
        "waiting_days": "0",
        "saving_two": "0",
        "saving_four": "0",
    }
    return {f"stages-{number}-{name}": value for name, value in (fields | changed).items()}


def test_a_person_is_let_in_with_a_role(desk, posy):
    given = {"first_name": "Bram", "username": "bram", "password": "odd-socks-27", "role": "maker"}
    send(desk, "person_add", **given)
    assert role_of(User.objects.get(username="bram")) == "maker"
    assert "is taken" in send(desk, "person_add", **given).text


def test_only_the_owner_lets_people_in(client, looker_on):
    client.force_login(looker_on)
    assert client.post(reverse("person_add")).status_code == 403


def test_a_device_gets_a_token_that_works_until_it_is_revoked(desk, client, posy, build):
    page = send(desk, "devices", name="bench phone", token="")
    token = page.context["token"]
    assert token in page.text
    row = AuthToken.objects.get()
    assert row.device.name == "bench phone"
    assert token not in desk.get(reverse("devices")).text
    desk.post(reverse("device_revoke", args=[row.token_key]))
    assert not AuthToken.objects.exists()


def test_a_phone_is_paired_by_a_code_that_works_once(desk, client, posy):
    page = send(desk, "devices", name="bench phone")
    assert page.context["code"] in page.text
    assert "<svg" in page.text
    assert page.headers["Cache-Control"] == "no-store"
    asked = {"data": {"code": page.context["code"]}, "content_type": "application/json"}
    assert client.post("/api/v1/devices/pair/", **asked).status_code == 201
    assert AuthToken.objects.get().device.name == "bench phone"
    assert client.post("/api/v1/devices/pair/", **asked).status_code == 409
    assert "Name the device" in send(desk, "devices", name=" ").text


def test_the_week_and_days_off_can_be_changed(desk, posy):
    week = dict.fromkeys(("monday", "tuesday", "wednesday", "thursday"), "6")
    rest = dict.fromkeys(("friday", "saturday", "sunday"), "0")
    send(desk, "week_edit", **week, **rest, day_ends_at="17:00")
    assert "24:00 h" in desk.get(reverse("workshop")).text
    send(desk, "day_off_add", first="2027-04-05", last="2027-04-01")
    send(desk, "day_off_add", first="2027-04-01", last="2027-04-05", reason="Spring fair")
    page = desk.get(reverse("workshop")).text
    assert page.count("Spring fair") == 1


def test_shares_of_a_template_are_typed_and_shown_in_percent(desk, workshop):
    template = make_template()
    make_template_stage(template, "Carve neck", saving_two=Decimal("0.15"))
    page = desk.get(f"/templates/{template.pk}/stages/").context["rows"]
    assert [form["saving_two"].value() for form in page.forms] == ["15", "0", "0"]
    line = make_template_line(template, "top", waste_rule="whole", waste_rate=Decimal("0.08"))
    address = f"/templates/lines/{line.pk}/"
    form = desk.get(address).context["form"]
    assert form["waste_rate"].value() == "8"
    filled = {bound.html_name: bound.value() or "" for bound in form} | {"waste_rate": "12.5"}
    assert desk.post(address, filled).status_code == 302
    line.refresh_from_db()
    assert line.waste_rate == Decimal("0.125")
    refused = desk.post(address, filled | {"waste_rate": "96"})
    assert "it can be 95 at the most" in refused.content.decode()
