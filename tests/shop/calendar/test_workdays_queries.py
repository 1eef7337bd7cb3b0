from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from shop.calendar.queries import latest_plan
from shop.hours.queries.hours import hours_by_stage
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import DayOff, WorkingWeek
from shop.stages.services import finish_stage
from tests.shop.factories import NOW, TODAY, make_build, planned_stage

pytestmark = pytest.mark.django_db
FRIDAY = date(2027, 3, 26)


@pytest.fixture
def build(workshop):
    """Twelve hours of carving and four of stringing up, promised for a Friday; 4 h on weekdays."""
    days = dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), Decimal(4))
    WorkingWeek.objects.create(pk=1, **days)
    stages = [
        planned_stage("Carve", "12"),
        planned_stage("String up", "4", waiting_days=Decimal(2)),
    ]
    return make_build(stages=stages, promised_on=FRIDAY)


def starts(build):
    plan = latest_plan(build, hours_by_stage(build))
    return plan and [step.starts for step in plan.steps]


def test_what_is_left_is_laid_back_from_the_promised_day(build):
    assert starts(build) == [date(2027, 3, 19), date(2027, 3, 24)]


def test_days_off_and_waiting_move_the_start_forward(build):
    DayOff.objects.create(first=date(2027, 3, 22), last=date(2027, 3, 23), reason="fair")
    assert starts(build)[0] == date(2027, 3, 17)


def test_what_was_worked_or_finished_is_no_longer_left(build, posy):
    carve, string_up = build.stages.all()
    log_hours(person=posy, day=TODAY, minutes=480, now=NOW, work=[Work(build=build, stage=carve)])
    assert starts(build)[0] == date(2027, 3, 23)
    finish_stage(stage=carve, now=NOW)
    assert starts(build) == [date(2027, 3, 24)]
    finish_stage(stage=string_up, now=NOW)
    assert starts(build) is None


def test_without_a_promised_day_there_is_nothing_to_lay_back(build):
    build.promised_on = None
    assert starts(build) is None


def test_the_page_and_the_api_tell_it(desk, phone, build):
    text = desk.get(reverse("build", args=[build.pk])).text
    assert "Must start by" in text
    told = phone.get(f"/api/v1/builds/{build.pk}/latest-start/").json()
    assert (told["starts"], [step["name"] for step in told["steps"]]) == (
        "2027-03-19",
        ["Carve", "String up"],
    )
