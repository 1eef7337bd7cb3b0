"""The guide to the API opens to everyone, and says what problems and operations there are."""

import pytest

from inventory.base.api.description import described
from inventory.base.api.problems import KINDS, type_of

pytestmark = pytest.mark.django_db


def test_the_guide_opens_without_a_token(client, posy):
    page = client.get("/api/v1/guide/")
    assert page.status_code == 200
    assert posy.username not in page.content.decode()


def test_every_kind_of_problem_has_its_place_on_the_guide(client, workshop):
    page = client.get("/api/v1/guide/").content.decode()
    for status in KINDS:
        address, _, place = type_of(status).partition("#")
        assert address == "/api/v1/guide/"
        assert f'id="{place}"' in page


def test_every_operation_stands_on_the_guide(client, workshop):
    page = client.get("/api/v1/guide/").content.decode()
    for item in described()["paths"].values():
        for operation in item.values():
            assert f'id="{operation["operationId"]}"' in page


def test_a_first_quote_goes_as_the_guide_says(phone, workshop):
    from tests.quotes.factories import make_policy
    from tests.shop.factories import make_template, make_template_stage

    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    client = phone.post("/api/v1/clients/", {"name": "Osric Pondweed"}).json()
    asked = {"client": client["id"], "template": template.pk}
    quote = phone.post("/api/v1/quotes/", asked).json()
    assert phone.get(f"/api/v1/quotes/{quote['id']}/price/").json()["hours"] == "4.00"
