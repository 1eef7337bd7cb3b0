"""The first quote of a pattern with history: its past builds' hours are offered at drafting."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.models import Client, Quote
from quotes.quoting.queries.quote_hours import draft_hours
from tests.factories import TODAY
from tests.quotes.factories import make_client, make_policy
from tests.shop.past_builds import FIRST_DAY, make_past_build, make_pattern

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern(workshop):
    make_policy()
    return make_pattern()


def make_history(pattern, builds=4):
    for number in range(builds):
        hours = {"Carve top": "20", "Carve neck": "4", "Finish": "8"}
        make_past_build(pattern, hours, finished=FIRST_DAY + timedelta(days=90 * number))


def test_past_builds_are_offered_with_the_figures_of_both(desk, pattern):
    make_history(pattern)
    found = draft_hours(pattern, on=TODAY)
    assert (found.likely, found.past) == (23, 4)
    assert found.levels[0].hours > 27
    page = desk.get(f"/quotes/new/?template={pattern.pk}").content.decode()
    assert "from 4 past builds, likely" in page
    part = desk.get(f"/quotes/new/hours/?template={pattern.pk}").content.decode()
    assert part.count('name="level"') == 5
    assert part.count("checked") == 1


@pytest.mark.parametrize("builds", [0, 2])
def test_too_few_past_builds_are_not_offered(desk, pattern, builds):
    make_history(pattern, builds)
    assert 'name="level"' not in desk.get(f"/quotes/new/?template={pattern.pk}").content.decode()


@pytest.mark.parametrize("template", ["", "x", "999"])
def test_no_template_offers_no_hours(desk, pattern, template):
    assert desk.get(f"/quotes/new/hours/?template={template}").status_code == 200


def test_the_draft_begins_with_what_was_chosen(desk, pattern):
    make_history(pattern)
    asked = {"new_client": "Osric Pondweed", "template": pattern.pk}
    desk.post("/quotes/new/", asked | {"level": "likely"})
    quote = Quote.objects.get()
    offered = draft_hours(pattern, on=timezone.localdate()).levels[0].hours
    assert sum(stage.hours for stage in quote.stages.all()) == offered
    assert quote.stages.first().basis == "estimate, likely, 4 past builds"
    desk.post("/quotes/new/", asked | {"level": ""})
    other = Quote.objects.exclude(pk=quote.pk).get()
    assert sum(stage.hours for stage in other.stages.all()) == Decimal(23)


def test_a_level_that_is_none_is_refused_and_nobody_is_entered(desk, pattern):
    make_history(pattern)
    asked = {"new_client": "Osric Pondweed", "template": pattern.pk, "level": "50"}
    answer = desk.post("/quotes/new/", asked)
    assert answer.status_code == 409
    assert "is not a level of the estimate" in answer.content.decode()
    assert not Client.objects.exists()


def test_the_api_drafts_with_hours_of_past_builds(phone, pattern):
    make_history(pattern)
    asked = {"client": make_client().pk, "template": pattern.pk, "level": "80"}
    made = phone.post("/api/v1/quotes/", asked)
    assert made.status_code == 201
    assert made.data["stages"][0]["basis"] == "estimate, 80 %, 4 past builds"
