"""Whose order a build is, and which material a line of it means, over the API."""

import pytest

from inventory.models import KeptAs
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, make_material
from tests.quotes.factories import make_quote
from tests.shop.factories import (
    make_build,
    make_build_line,
    make_template,
    make_template_line,
    make_template_stage,
)

ON = NOW.date()


@pytest.fixture
def ordered(posy, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    template = make_template()
    make_template_stage(template)
    quote = issue_quote(quote=make_quote(template=template), on=ON, now=NOW)
    return accept_quote(quote=quote, on=ON, now=NOW).build


def test_a_build_names_its_order_and_one_without_names_none(phone, ordered):
    other = make_build()
    quote = ordered.quote
    told = phone.get(f"/api/v1/builds/{ordered.pk}/").json()["order"]
    assert told == {
        "quote": quote.pk,
        "commission": quote.commission_id,
        "client": quote.commission.client_id,
    }
    assert phone.get(f"/api/v1/builds/{other.pk}/").json()["order"] is None


@pytest.mark.parametrize("by", ["quote", "commission", "client"])
def test_builds_are_found_by_their_order(phone, ordered, by):
    make_build()
    key = phone.get(f"/api/v1/builds/{ordered.pk}/").json()["order"][by]
    rows = phone.get(f"/api/v1/builds/?{by}={key}").json()["results"]
    assert [row["id"] for row in rows] == [ordered.pk]
    assert phone.get(f"/api/v1/builds/?{by}={key + 99}").json()["results"] == []


def test_a_line_gets_a_material_that_counts_as_it_does(phone):
    counted = make_template_line(make_template(), unit="ea")
    line = make_build_line(make_build(), template_line=counted, planned_cost="0")
    wire = make_material("Fretwire", KeptAs.LENGTH)
    screws = make_material("Screws")
    address = f"/api/v1/build-lines/{line.pk}/material/"
    refused = phone.post(address, {"material": wire.pk})
    assert refused.status_code == 409
    assert [one["field"] for one in refused.json()["errors"]] == ["material"]
    line.refresh_from_db()
    assert line.material is None
    assert phone.post(address, {"material": screws.pk}).json()["material"] == screws.pk
    line.refresh_from_db()
    assert line.material == screws
