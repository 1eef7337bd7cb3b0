"""Shares in the API are fractions of 1; a percentage by mistake is told what was meant."""

from decimal import Decimal

import pytest
from rest_framework.exceptions import ValidationError

from inventory.base.api.fields import PercentAsShareField, ShareField
from inventory.models import StockRules
from tests.quotes.factories import make_pair, make_quote

pytestmark = pytest.mark.django_db
API = "/api/v1"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ("20", "20 would be 2000 %. A share is from 0 to 1 here: for 20 % send 0.2."),
        ("1.5", "1.5 would be 150.0 %. A share is from 0 to 1 here: for 1.5 % send 0.015."),
        ("500", "500 would be 50000 %. A share is from 0 to 1 here."),
    ],
)
def test_a_share_beyond_its_bounds_is_refused(sent, sentence):
    with pytest.raises(ValidationError) as refused:
        ShareField().run_validation(sent)
    assert refused.value.detail == [sentence]


def test_what_is_kept_in_percent_goes_in_and_out_as_a_share():
    field = PercentAsShareField(max_value=Decimal("0.4"), default=Decimal("0.05"))
    assert field.run_validation("0.285") == Decimal("28.5")
    assert field.get_default() == Decimal("0.05")
    assert field.to_representation(Decimal("28.500")) == "0.28500"
    assert PercentAsShareField(allow_null=True).run_validation(None) is None
    with pytest.raises(ValidationError, match=r"for 28 % send 0\.28"):
        field.run_validation("28")


@pytest.mark.parametrize(
    ("name", "kept", "share", "wrong", "sentence"),
    [
        ("service_level", "97", "0.97000", "95", "for 95 % send 0.95."),
        ("ready_within", "0.5", "0.00500", "0.4", "for 0.4 % send 0.004."),
        ("shop_humidity", "48", "0.48000", "48", "for 48 % send 0.48."),
        ("holding_share", "25", "0.25000", "25", "for 25 % send 0.25."),
        ("meter_doubt", "2", "0.02000", "2", "for 2 % send 0.02."),
    ],
)
def test_rules_of_stock_are_shares(phone, name, kept, share, wrong, sentence):
    def send(value):
        etag = phone.get(f"{API}/stock-rules/").headers["ETag"]
        return phone.patch(f"{API}/stock-rules/", {name: value}, headers={"If-Match": etag})

    assert send(share).json()[name] == share
    column = {"holding_share": "holding_percent"}.get(name, name)
    assert getattr(StockRules.objects.get(), column) == Decimal(kept)
    answer = send(wrong)
    assert answer.status_code == 400
    (told,) = answer.json()["errors"]
    assert told["field"] == name
    assert told["detail"].endswith(sentence)


def test_species_and_meters_say_shares(phone):
    pear = {"name": "Pear", "shrinkage_radial": "0.039", "shrinkage_tangential": "0.113"}
    made = phone.post(f"{API}/species/", pear).json()
    assert (made["shrinkage_radial"], made["fibre_saturation"]) == ("0.03900", "0.30000")
    wrong = phone.post(f"{API}/species/", pear | {"name": "Plum", "shrinkage_radial": "3.9"})
    assert "for 3.9 % send 0.039." in wrong.json()["detail"]
    meter = {"name": "pin meter", "offset": "-0.005", "per_degree": "0.001"}
    made = phone.post(f"{API}/meters/", meter).json()
    assert (made["offset"], made["per_degree"]) == ("-0.00500", "0.00100")


def test_waste_is_a_share_in_rows_of_a_quote(phone):
    quote = make_quote()
    row = {"name": "Spruce", "quantity": "1", "unit": "ea", "waste_rule": "whole"}
    asked = {"kind": "material", "fields": row | {"waste_rate": "15"}}
    answer = phone.post(f"{API}/quotes/{quote.pk}/rows/add/", asked)
    assert answer.status_code == 400
    assert "for 15 % send 0.15." in answer.json()["detail"]


def test_a_field_in_a_refusal_is_the_one_that_was_sent(phone):
    second = make_pair().further.get()
    address = f"{API}/quotes/{second.pk}/"
    etag = phone.get(address).headers["ETag"]
    answer = phone.patch(address, {"fee_share": "0.03"}, headers={"If-Match": etag})
    assert answer.status_code == 409
    assert [one["field"] for one in answer.json()["errors"]] == ["fee_share"]
