"""Set-up readings in the API."""

from decimal import Decimal

import pytest

from shop.models import SetUpReading
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db
URL = "/api/v1/readings/"


@pytest.fixture
def build(workshop):
    return make_build("A")


def read(phone, build, measure="relief", value="0.12", **more):
    return phone.post(URL, {"build": build.pk, "measure": measure, "value": value} | more)


def test_readings_stand_side_by_side_in_the_order_they_were_taken(phone, build):
    read(phone, build, value="0.10", taken_at="2026-03-16T15:00:00Z")
    read(phone, build, value="0.14", taken_at="2026-03-16T14:00:00Z", gauge="feelers")
    rows = phone.get(URL, {"build": build.pk}).data["results"]
    assert [row["value"] for row in rows] == ["0.140", "0.100"]
    assert (rows[0]["measure_words"], rows[0]["gauge"]) == ("Relief", "feelers")


def test_five_thousandths_of_an_inch_are_kept_to_the_thousandth_of_a_mm(phone, build):
    """5 × 0.0254 = 0.127: 25.4 mm to the inch is exact (NIST SP 811, B.8)."""
    read(phone, build, value="0.1270")
    assert SetUpReading.objects.get().value == Decimal("0.127")


def test_intonation_may_be_flat(phone, build):
    assert read(phone, build, "intonation_treble", "-2").status_code == 201


@pytest.mark.parametrize(
    ("measure", "value", "sentence"),
    [
        ("relief", "-0.1", "A length must be 0 mm or more."),
        ("intonation_bass", "101", "Intonation must be within 100 cents."),
    ],
)
def test_what_can_not_be_is_declined(phone, build, measure, value, sentence):
    answer = read(phone, build, measure, value)
    assert (answer.status_code, answer.data["detail"]) == (409, sentence)


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_takes_the_same_queries_however_long(
    phone, build, rows, django_assert_num_queries
):
    for _ in range(rows):
        read(phone, build)
    with django_assert_num_queries(3):
        assert phone.get(URL).data["count"] == rows
