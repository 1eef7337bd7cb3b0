"""Facts that can't be are refused in one sentence: days, shares, digits; so are unknown filters."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from rest_framework.exceptions import ValidationError

from inventory.base.api.fields import DecimalField, HappenedField, ShareField
from inventory.base.calc.likely import AHEAD

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("text", ["١٢", "1e3", "NaN", "Infinity", "1_000", "0x10", "--1"])
def test_a_decimal_is_written_in_plain_digits(text):
    with pytest.raises(ValidationError):
        DecimalField(max_digits=9, decimal_places=3).run_validation(text)


@pytest.mark.parametrize("text", ["12", "0.5", ".5", "-3.25", " 7 "])
def test_a_plain_decimal_is_read(text):
    value = DecimalField(max_digits=9, decimal_places=3).run_validation(text)
    assert value == Decimal(text.strip())


@pytest.mark.parametrize(("text", "meant"), [("9", "0.09"), ("25", "0.25"), ("1.5", "0.015")])
def test_a_percentage_sent_as_a_share_is_told_what_was_meant(text, meant):
    with pytest.raises(ValidationError, match=f"for {text} % send {meant}"):
        ShareField().run_validation(text)


@pytest.mark.parametrize("day", ["9999-01-01", "0001-01-01", "1899-12-31"])
def test_nothing_happened_before_1900_or_far_ahead(day):
    with pytest.raises(ValidationError, match="give a day from 1900-01-01 to"):
        HappenedField().run_validation(day)


def test_a_day_of_a_year_ahead_is_taken_and_no_later_one():
    last = timezone.localdate() + AHEAD
    assert HappenedField().run_validation(f"{last}") == last
    with pytest.raises(ValidationError):
        HappenedField().run_validation(f"{last + timedelta(days=1)}")


def test_an_unknown_filter_is_refused_with_those_there_are(phone):
    answer = phone.get("/api/v1/quotes/?wood=spruce")
    assert answer.status_code == 400
    [wrong] = answer.json()["errors"]
    assert wrong["field"] == "wood"
    assert "client" in wrong["detail"]


def test_an_unknown_order_is_refused_with_those_there_are(phone):
    answer = phone.get("/api/v1/quotes/?ordering=price")
    [wrong] = answer.json()["errors"]
    assert (answer.status_code, wrong["field"]) == (400, "ordering")
    assert "issued_on" in wrong["detail"]


def test_the_filters_and_orders_of_a_list_are_taken(phone):
    asked = "issued_on_after=2027-01-01&state=draft&search=x&ordering=-issued_on&page_size=5"
    assert phone.get(f"/api/v1/quotes/?{asked}").status_code == 200
    assert phone.get("/api/v1/entries/?page_size=5").status_code == 200
    assert phone.get("/api/v1/time-entries/?running=true&day_after=2027-01-01").status_code == 200


def test_a_filter_of_a_list_changes_nothing_of_an_act(phone, make_draft):
    quote = make_draft()
    answer = phone.post(f"/api/v1/quotes/{quote.pk}/revise/?state=accepted")
    assert answer.status_code == 409


@pytest.fixture
def make_draft(workshop):
    from tests.quotes.factories import make_policy, make_quote
    from tests.shop.factories import make_template

    make_policy()
    return lambda: make_quote(template=make_template("Little mandolin"))
