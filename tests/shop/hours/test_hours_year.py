"""The year's page adds up, by what the hours went into, by stage and by month."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from shop.hours.queries.work import Work
from shop.hours.queries.year import year_record
from shop.hours.services.entries import log_hours
from shop.models import TimeEntry
from tests.shop.factories import NOW, make_build, planned_stage
from tests.shop.past_builds import make_pattern

pytestmark = pytest.mark.django_db


@pytest.fixture
def year(posy):
    """2027: 10 h on two mandolins of a pattern, 4 h on a repair, 2 h of messages."""
    pattern = make_pattern("Mandolin")
    stages = [planned_stage("Carve top"), planned_stage("Finish")]
    pair = [make_build(template=pattern, stages=stages) for _ in range(2)]
    repair = make_build("A cracked cello", stages=[])

    def log(day, minutes, work=(), **fields):
        log_hours(person=posy, day=day, minutes=minutes, work=work, now=NOW, **fields)

    tops = [Work(build=build, stage=build.stages.first()) for build in pair]
    log(date(2027, 1, 31), 450, tops)
    log(date(2027, 3, 1), 150, [Work(build=pair[0], stage=pair[0].stages.last())])
    log(date(2027, 12, 31), 240, [Work(build=repair)], source=TimeEntry.Source.SHEET)
    log(date(2027, 3, 2), 120, is_billable=False, reason="messages")
    log(date(2026, 12, 31), 999, [Work(build=repair)])
    log(date(2028, 1, 1), 999, [Work(build=repair)])
    return year_record(2027)


def test_what_the_hours_went_into_adds_up(year):
    rows = [(one.name, one.minutes, one.billable) for one in year.into]
    assert rows == [
        ("Mandolin", 600, True),
        ("Builds without a template", 240, True),
        ("messages", 120, False),
    ]
    assert (year.minutes, year.billable_minutes, year.share) == (960, 840, Decimal("0.875"))
    assert sum(one.part for one in year.into) == 1


def test_stages_add_up_to_what_can_be_billed(year):
    rows = [(one.name, one.minutes) for one in year.stages]
    assert rows == [("Carve top", 450), ("No stage", 240), ("Finish", 150)]
    assert sum(minutes for _, minutes in rows) == year.billable_minutes


def test_months_add_up_to_the_year(year):
    assert [one.month for one in year.months] == list(range(1, 13))
    assert sum(one.minutes for one in year.months) == year.minutes
    assert (year.months[2].minutes, year.months[2].billable_minutes) == (270, 150)
    assert year.months[2].share == Decimal(150) / Decimal(270)
    assert year.months[5].share is None


def test_old_sheets_and_the_years_on_record_are_told(year):
    assert (year.from_sheets, year.first, year.last) == (240, 2026, 2028)


def test_a_clock_that_runs_is_not_counted(posy):
    TimeEntry.objects.create(person=posy, day=date(2027, 1, 1), recorded_at=NOW)
    assert year_record(2027).minutes == 0


def test_the_page_shows_the_year_and_its_neighbours(desk, year):
    html = desk.get(reverse("hours_year", args=[2027])).content.decode()
    assert "87.5 %" in html
    assert reverse("hours_year", args=[2026]) in html
    assert reverse("hours_year", args=[2028]) in html


def test_a_year_without_hours_says_so(desk, workshop):
    assert "No hours recorded" in desk.get(reverse("hours_year", args=[2027])).content.decode()


@pytest.mark.parametrize("year", [0, 9999, 123456])
def test_a_year_beyond_the_calendar_is_not_found(desk, workshop, year):
    assert desk.get(reverse("hours_year", args=[year])).status_code == 404


@pytest.mark.parametrize("entries", [1, 25])
def test_a_year_takes_four_queries(posy, entries, django_assert_num_queries):
    build = make_build()
    for day in range(1, entries + 1):
        work = [Work(build=build)]
        log_hours(person=posy, day=date(2027, 1, day), minutes=60, work=work, now=NOW)
    with django_assert_num_queries(4):
        assert year_record(2027).minutes == 60 * entries
