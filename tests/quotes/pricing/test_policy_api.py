"""The pricing policy and tax rates over the API: the owner sets them, everybody reads them."""

from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from quotes.models import DatedTaxRate, FamilyMarkup, PricingPolicy
from quotes.pricing.calc.offer import read_parts
from tests.conftest import make_person
from tests.factories import make_family
from tests.quotes.factories import make_policy

pytestmark = pytest.mark.django_db
POLICY, RATES = "/api/v1/pricing-policy/", "/api/v1/tax-rates/"


def test_what_is_given_is_changed_and_the_rest_stays(phone):
    make_policy(terms="As ever.")
    wood = make_family()
    asked = {"shop_rate": "52.00", "markups": [{"family": wood.pk, "markup": "0.40"}]}
    shown = phone.post(POLICY, asked).json()
    assert (shown["shop_rate"], shown["terms"]) == ("52.000", "As ever.")
    assert shown["markups"] == [{"family": wood.pk, "markup": "0.4000"}]
    assert phone.get(POLICY).json() == shown
    phone.post(POLICY, {"markups": [{"family": wood.pk, "markup": None}]})
    assert not FamilyMarkup.objects.exists()
    assert PricingPolicy.objects.get().shop_rate == Decimal(52)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"parts": ["0.30", "0.30"]}, "parts: The parts add up to 0.6; they must add up to 1."),
        ({"parts": ["30", "70"]}, "parts.0: 30 would be 3000 %. A share is from 0 to 1 here: "),
        ({"parts": ["0.051"] * 18 + ["0.05", "0.032"]}, "parts: So many parts must be equal ones."),
        ({"iban": "BE72 0000 0000 1617"}, "is not an account number"),
        (
            {"tax_rate": "9"},
            "tax_rate: 9 would be 900 %. A share is from 0 to 1 here: for",
        ),
        ({"material_markup": "5"}, "for 5 % send 0.05."),
        ({"fee_share": "2.9"}, "fee_share: 2.9 would be 290.0 %."),
    ],
    ids=["parts", "percent", "many parts", "account", "tax", "markup", "fee"],
)
def test_a_policy_that_can_not_be_meant_is_refused(phone, asked, sentence):
    answer = phone.post(POLICY, asked)
    assert answer.status_code == (409 if "iban" in asked else 400)
    assert sentence in answer.json()["detail"]


@pytest.mark.parametrize(
    ("kept", "shown"),
    [
        ("30 30 40", ["0.3000", "0.3000", "0.4000"]),
        ("3 equal parts", ["0.3333", "0.3333", "0.3334"]),
        ("12 equal parts", [*["0.0833"] * 11, "0.0837"]),
        ("half", []),
    ],
)
def test_parts_are_shares_that_come_back_as_they_went(phone, kept, shown):
    make_policy(parts=kept)
    assert phone.get(POLICY).json()["parts"] == shown
    if shown:
        assert phone.post(POLICY, {"parts": shown}).json()["parts"] == shown
        read = [read_parts(text) for text in (kept, PricingPolicy.objects.get().parts)]
        assert read[0] == read[1]


def test_a_tax_rate_is_added_and_removed(phone):
    asked = {"name": "reduced", "since": "2027-01-01", "rate": "0.09"}
    rate = phone.post(RATES, asked).json()
    assert (rate["name"], rate["rate"]) == ("reduced", "0.0900")
    assert phone.post(RATES, asked).status_code == 409
    assert phone.post(f"{RATES}{rate['id']}/remove/").status_code == 204
    assert not DatedTaxRate.objects.exists()


def test_only_the_owner_sets_them(workshop):
    maker = APIClient()
    maker.force_authenticate(make_person("bram", "maker"))
    assert maker.get(POLICY).status_code == 200
    assert maker.post(POLICY, {"shop_rate": "1"}).status_code == 403
    rate = {"since": "2027-01-01", "rate": "0.09"}
    assert maker.post(RATES, rate).status_code == 403
