from decimal import Decimal

import pytest

from shop.models import BuildTemplate
from shop.patterns.services.templates import load_starters
from tests.shop.factories import (
    make_build,
    make_template,
    make_template_line,
    make_template_stage,
)

pytestmark = pytest.mark.django_db
URL = "/api/v1/templates/"


@pytest.fixture
def template(workshop):
    row = make_template("Carved mandolin")
    stage = make_template_stage(row, "Bend ribs", ("4", "6.5", "10"))
    make_template_line(row, "Ribs", stage=stage)
    return row


def test_a_template_comes_with_everything_in_it(phone, template):
    answer = phone.get(f"{URL}{template.pk}/")
    assert answer.data["stages"][0]["hours_likely"] == "6.50"
    assert answer.data["lines"][0]["name"] == "Ribs"
    assert answer.data["likely"] == "6.50"
    assert answer.headers["ETag"]


@pytest.mark.parametrize("number", [1, 25])
def test_the_list_takes_the_same_queries_however_long(phone, number, django_assert_num_queries):
    for _ in range(number):
        make_template_stage(make_template())
    phone.get(URL)
    with django_assert_num_queries(3):
        assert phone.get(URL).data["count"] == number


def test_a_template_is_made_and_put_away(phone, workshop):
    made = phone.post(URL, {"name": "Octave mandolin"})
    assert (made.status_code, made.data["is_starter"], made.data["stages"]) == (201, False, [])
    etag = phone.get(f"{URL}{made.data['id']}/").headers["ETag"]
    changed = phone.patch(
        f"{URL}{made.data['id']}/", {"is_archived": True}, headers={"If-Match": etag}
    )
    assert changed.data["is_archived"] is True
    late = phone.patch(f"{URL}{made.data['id']}/", {"name": "X"}, headers={"If-Match": etag})
    assert late.status_code == 412


def test_a_template_is_copied_once_however_often_it_is_sent(phone, template):
    sent = [
        phone.post(
            f"{URL}{template.pk}/copy/", {"name": "Copy"}, headers={"Idempotency-Key": "c-1"}
        )
        for _ in range(2)
    ]
    assert [answer.status_code for answer in sent] == [201, 201]
    assert sent[0].data["id"] == sent[1].data["id"]
    assert BuildTemplate.objects.filter(name="Copy").count() == 1


def test_a_template_with_builds_is_not_deleted(phone, template):
    make_build(template=template)
    etag = phone.get(f"{URL}{template.pk}/").headers["ETag"]
    answer = phone.delete(f"{URL}{template.pk}/", headers={"If-Match": etag})
    assert answer.status_code == 409
    assert "Archive it instead" in answer.data["detail"]


def test_a_stage_is_added_with_its_hours(phone, template):
    stage = {
        "template": template.pk,
        "position": 2,
        "name": "Close the box",
        "hours_low": "1.5",
        "hours_likely": "2.5",
        "hours_high": "4",
    }
    assert phone.post("/api/v1/template-stages/", stage).status_code == 201
    assert template.stages.get(name="Close the box").hours_likely == Decimal("2.5")
    answer = phone.post("/api/v1/template-stages/", stage | {"hours_likely": "9"})
    assert answer.status_code == 400
    assert "rise from low to likely to high" in answer.data["detail"]


def test_a_line_keeps_to_the_stages_of_its_own_template(phone, template):
    load_starters()
    other = BuildTemplate.objects.get(name="Flat-top guitar").stages.first()
    line = {
        "template": template.pk,
        "position": 2,
        "name": "Binding",
        "family": template.lines.get().family_id,
        "quantity": "3.4",
        "unit": "m",
        "stage": other.pk,
    }
    answer = phone.post("/api/v1/template-lines/", line)
    assert (answer.status_code, answer.data["errors"][0]["field"]) == (400, "stage")
    made = phone.post("/api/v1/template-lines/", line | {"stage": None})
    assert (made.status_code, made.data["quantity"]) == (201, "3.400")


def test_a_looker_on_changes_no_template(client, looker_on, template):
    client.force_login(looker_on)
    assert client.get(f"{URL}{template.pk}/").status_code == 200
    assert client.post(URL, {"name": "X"}, content_type="application/json").status_code == 403


def test_materials_are_made_from_lines_once_however_often_it_is_sent(phone, template):
    make_template_line(template, "Glue", waste_rule="share")
    asked = {"path": f"{URL}{template.pk}/make-materials/", "headers": {"Idempotency-Key": "m-1"}}
    sent = [phone.post(**asked) for _ in range(2)]
    assert [answer.status_code for answer in sent] == [201, 201]
    assert sent[0].json() == sent[1].json()
    line = template.lines.get(name="Ribs")
    assert sent[0].json()["made"] == [line.material_id]
    assert sent[0].json()["linked"] == [line.pk]
    assert sent[0].json()["left_out"][0]["why_not"].startswith("A share of a pack")
