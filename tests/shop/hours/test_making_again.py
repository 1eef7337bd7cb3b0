"""Hours of making again: marked where they are typed, taken back by a correction that is kept."""

import pytest

from shop.builds.services.end import finish_build
from shop.hours.queries.hours import first_hours_before, hours_by_stage
from shop.models import TimeCorrection, TimeEntry
from tests.factories import NOW, TODAY
from tests.shop.factories import make_build, make_template, make_template_stage, planned_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def build(workshop):
    template = make_template("Little mandolin")
    make_template_stage(template, "Bind")
    return make_build(template=template, stages=[planned_stage("Bind")])


def log(desk, build, length, **fields):
    day = f"/hours/{TODAY}/"
    typed = {"day": f"{TODAY}", "length": length, "builds": [build.pk], "stage": "Bind"}
    assert desk.post(day, typed | fields).status_code == 302
    return day


def test_they_are_marked_when_typed_and_stand_apart(desk, build):
    log(desk, build, "2:00")
    day = log(desk, build, "1:30", is_remake="on")
    (row,) = hours_by_stage(build)
    assert (row.minutes, row.redone_minutes) == (210, 90)
    assert "rework" in desk.get(day).content.decode()


def test_taking_the_mark_back_is_a_correction(desk, build):
    log(desk, build, "1:30", is_remake="on")
    entry = TimeEntry.objects.get()
    form = desk.get(f"/hours/entries/{entry.pk}/").context["form"]
    assert form["is_remake"].value() is True
    filled = {bound.html_name: bound.value() or "" for bound in form} | {"is_remake": ""}
    assert desk.post(f"/hours/entries/{entry.pk}/", filled).status_code == 302
    entry.refresh_from_db()
    assert entry.is_remake is False
    assert TimeCorrection.objects.get().before["is_remake"] is True


def test_they_are_no_hours_of_earlier_builds(desk, build):
    log(desk, build, "2:00")
    log(desk, build, "1:30", is_remake="on")
    finish_build(build=build, now=NOW)
    later = make_build(template=build.template, stages=[planned_stage("Bind")])
    assert first_hours_before(later) == {"Bind": [120]}


def test_a_word_in_the_typed_line_marks_them(desk, build):
    day = f"/hours/{TODAY}/"
    assert desk.post(day, {"line": "1:30, bind, again"}).status_code == 302
    entry = TimeEntry.objects.get()
    assert (entry.is_remake, entry.minutes) == (True, 90)
    assert "rework" in desk.get(day).content.decode()
