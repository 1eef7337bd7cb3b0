"""What may go wrong, on the pages of a template and a quote, and in the API."""

from decimal import Decimal

import pytest

from quotes.models import QuoteFailure
from tests.factories import TODAY
from tests.quotes.factories import make_policy, make_quote, sheet_now
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def template(workshop):
    make_policy()
    template = make_template("Carved mandolin")
    make_template_stage(template, "Join", ("2", "3", "4"))
    make_template_stage(template, "Carve top", ("9", "14", "22"))
    make_template_line(template, "top", cost_likely=Decimal(45))
    return template


def asked(rows, **fields):
    join, carve = rows.stages.all()
    lines = rows.lines if hasattr(rows, "lines") else rows.materials
    return {
        "name": "Carved through", "stage": carve.pk, "one_in": 21, "hours": "",
        "redo_from": join.pk, "lost": [lines.get().pk],
    } | fields  # fmt: skip


def test_a_template_says_what_may_go_wrong(desk, template):
    answer = desk.post(f"/templates/{template.pk}/failures/new/", asked(template))
    assert answer.status_code == 302
    page = desk.get(f"/templates/{template.pk}/").content.decode()
    assert "Carved through" in page
    assert "everything from Join" in page
    failure = template.stages.get(name="Carve top").failures.get()
    desk.post(f"/templates/failures/{failure.pk}/", asked(template, hours="9.5"))
    failure.refresh_from_db()
    assert failure.hours == Decimal("9.5")
    desk.post(f"/templates/failures/{failure.pk}/remove/")
    assert (
        "Enter how often something fails" in desk.get(f"/templates/{template.pk}/").content.decode()
    )


@pytest.mark.parametrize("fields", [{"one_in": "1"}, {"stage": ""}, {"hours": "x"}])
def test_a_figure_that_won_t_do_is_shown_beside_its_field(desk, template, fields):
    answer = desk.post(f"/templates/{template.pk}/failures/new/", asked(template, **fields))
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == fields.keys()


def test_a_stage_can_t_be_redone_from_a_later_one(desk, template):
    join, carve = template.stages.all()
    fields = {"stage": join.pk, "redo_from": carve.pk}
    answer = desk.post(f"/templates/{template.pk}/failures/new/", asked(template, **fields))
    assert "Choose an earlier stage" in answer.content.decode()


def test_a_draft_says_what_may_go_wrong_and_keeps_its_contingency_by_it(desk, template):
    quote = make_quote(template=template, on=TODAY)
    desk.post(f"/quotes/{quote.pk}/add/failure/", asked(quote))
    quote.contingency_by = "failures"
    quote.save()
    page = desk.get(f"/quotes/{quote.pk}/")
    assert page.context["page"].failures.expected.amount == Decimal("40.50")
    assert sheet_now(quote).amount("contingency") == Decimal("40.50")
    failure = quote.failures.get()
    changed = desk.post(f"/quotes/{quote.pk}/failure/{failure.pk}/", asked(quote, one_in="11"))
    assert changed.status_code == 302
    assert desk.get(f"/quotes/{quote.pk}/").context["page"].contingency == Decimal("81.00")
    desk.post(f"/quotes/{quote.pk}/failure/{failure.pk}/remove/")
    assert not QuoteFailure.objects.exists()


def test_the_api_does_the_same(phone, template):
    join, carve = template.stages.all()
    body = {"name": "Carved through", "stage": carve.pk, "one_in": 21, "redo_from": join.pk}
    made = phone.post("/api/v1/template-failures/", body | {"lost": [template.lines.get().pk]})
    assert made.status_code == 201
    late = phone.post(
        "/api/v1/template-failures/", body | {"stage": join.pk, "redo_from": carve.pk}
    )
    assert late.status_code == 400
    quote = make_quote(template=template, on=TODAY)
    shown = phone.get(f"/api/v1/quotes/{quote.pk}/").data
    [failure] = shown["failures"]
    assert (failure["one_in"], len(failure["lost"])) == (21, 1)
    url = f"/api/v1/quotes/{quote.pk}/failures/"
    again = phone.post(f"{url}{failure['id']}/", failure | {"one_in": 5})
    assert [one["one_in"] for one in again.data["failures"]] == [5]
    more = phone.post(url, {"name": "Slips", "stage": failure["stage"], "one_in": 40})
    assert (more.status_code, len(more.data["failures"])) == (201, 2)
    gone = phone.post(
        f"/api/v1/quotes/{quote.pk}/rows/remove/", {"kind": "failure", "id": failure["id"]}
    )
    assert [one["name"] for one in gone.data["failures"]] == ["Slips"]


def test_the_api_adds_rows_and_sets_a_price(phone, template):
    quote = make_quote(template=template, on=TODAY)
    url = f"/api/v1/quotes/{quote.pk}/"
    fields = {"kind": "outside", "name": "Plating", "cost": "40.00"}
    added = phone.post(f"{url}rows/add/", {"kind": "extra", "fields": fields})
    assert (added.status_code, added.data["extras"][0]["name"]) == (201, "Plating")
    nameless = phone.post(f"{url}rows/add/", {"kind": "stage", "fields": {"hours": "2"}})
    assert nameless.status_code == 400
    phone.post(f"{url}set-price/", {"amount": "1500.00"})
    assert phone.get(f"{url}price/").data["price"] == "1500.000"
