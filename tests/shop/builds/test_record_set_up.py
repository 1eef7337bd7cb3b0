from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from shop.builds.queries.setting_up import set_up_of
from shop.builds.services.setting_up import record_set_up
from shop.models import SetUpReading
from tests.shop.factories import NOW, make_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(posy):
    return make_build("Carved mandolin")


def write(build, posy, when=NOW, **values):
    values = {measure: Decimal(value) for measure, value in values.items()}
    return record_set_up(build=build, values=values, now=when, user=posy, gauge="feelers")


def row_of(set_up, measure):
    return next(row for row in set_up.rows if row.measure == measure)


def test_before_and_after_stand_side_by_side(build, posy):
    write(build, posy, relief="0.25")
    write(build, posy, NOW + timedelta(hours=1), relief="0.10")
    write(build, posy, NOW + timedelta(days=14), relief="0.12")
    row = row_of(set_up_of(build, kind="mandolin"), "relief")
    shown = [values for _, values in row.days]
    assert shown == [(Decimal("0.25"), Decimal("0.10")), (Decimal("0.12"),)]
    assert (row.last, row.is_outside) == (Decimal("0.12"), False)


def test_a_value_beyond_common_practice_is_said_to_be_outside(build, posy):
    write(build, posy, action_treble="1.7")
    assert row_of(set_up_of(build, kind="mandolin"), "action_treble").is_outside
    assert not row_of(set_up_of(build), "action_treble").is_outside


def test_thousandths_of_an_inch_leave_cents_alone(build, posy):
    write(build, posy, relief="0.127", intonation_bass="-2")
    set_up = set_up_of(build, kind="mandolin", in_thousandths=True)
    assert row_of(set_up, "relief").last == Decimal("5.0")
    assert str(row_of(set_up, "relief").target) == "2.0 to 5.9"
    assert row_of(set_up, "intonation_bass").last == -2
    assert str(row_of(set_up, "intonation_bass").target) == "± 3"


def test_the_first_day_and_the_last_three_are_shown(build, posy):
    for day in range(6):
        write(build, posy, NOW + timedelta(days=day), relief="0.1")
    assert [(day - NOW.date()).days for day in set_up_of(build).days] == [0, 3, 4, 5]


def test_one_bad_value_keeps_the_whole_sheet_out(build, posy):
    with pytest.raises(Refusal, match="0 mm or more") as refused:
        write(build, posy, relief="0.1", nut_width="-1")
    assert refused.value.field == "nut_width"
    assert not SetUpReading.objects.exists()


def test_an_empty_sheet_is_refused(build, posy):
    with pytest.raises(Refusal, match="at least one reading"):
        write(build, posy)


def test_the_page_takes_a_sheet_in_thousandths(desk, build):
    page = reverse("build_setup", args=[build.pk]) + "?unit=thou"
    desk.post(page, {"relief": "5", "intonation_bass": "-2", "strings": "medium"})
    kept = {one.measure: one.value for one in build.readings.all()}
    assert kept == {"relief": Decimal("0.127"), "intonation_bass": Decimal(-2)}
    text = desk.get(page).content.decode()
    assert "within" in text
    assert "medium" in text


def test_the_page_says_what_is_wrong_beside_the_measure(desk, build):
    answer = desk.post(reverse("build_setup", args=[build.pk]), {"intonation_bass": "150"})
    assert answer.status_code == 409
    assert "within 100 cents" in str(answer.context["form"].errors["intonation_bass"])


@pytest.mark.parametrize(("units", "unit"), [("metric", "mm"), ("imperial", "thou")])
def test_the_page_opens_in_the_units_of_the_shop(desk, workshop, build, units, unit):
    workshop.units = units
    workshop.save()
    assert desk.get(reverse("build_setup", args=[build.pk])).context["unit"] == unit


@pytest.mark.parametrize("number", [1, 25])
def test_the_sheet_is_read_in_one_query(build, posy, number, django_assert_num_queries):
    for day in range(number):
        write(build, posy, NOW + timedelta(days=day), relief="0.1")
    with django_assert_num_queries(1):
        assert [one.taken_by.username for one in set_up_of(build).readings] == ["posy"] * number
