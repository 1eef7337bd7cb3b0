"""Quotes through the API: drafted, priced, changed, sent and decided."""

from decimal import Decimal

import pytest

from quotes.models import Client, Quote
from quotes.quoting.services.issue import issue_quote
from shop.models import Build
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def template(workshop):
    make_policy()
    template = make_template("Little mandolin")
    template.options.create(name="Scroll")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", cost_likely=Decimal("40"))
    return template


@pytest.fixture
def draft(template):
    return make_quote(template=template, on=TODAY)


def address(quote, what=""):
    return f"/api/v1/quotes/{quote.pk}/{what}"


def test_a_client_is_added_and_a_quote_drafted(phone, template):
    client = phone.post("/api/v1/clients/", {"name": "Osric Pondweed", "currency": "chf"}).json()
    assert client["currency"] == "CHF"
    asked = {"client": client["id"], "template": template.pk, "options": ["Scroll"]}
    answer = phone.post("/api/v1/quotes/", asked)
    assert answer.status_code == 201
    assert [stage["name"] for stage in answer.json()["stages"]] == ["Carve"]
    assert Quote.objects.get().options == ["Scroll"]


def test_the_same_key_drafts_once(phone, template):
    asked = {"client": make_client().pk, "template": template.pk}
    answers = [
        phone.post("/api/v1/quotes/", asked, headers={"Idempotency-Key": "a"}).json()
        for _ in range(2)
    ]
    assert answers[0] == answers[1]
    assert Quote.objects.count() == 1


def test_the_price_opens_to_its_parts(phone, draft):
    price = phone.get(address(draft, "price/")).json()
    steps = {step["key"]: step for step in price["steps"]}
    assert (steps["labour"]["amount"], price["gross"]) == ("180.000", "300.000")
    assert steps["labour"]["parts"][0]["how"] == "4 h × 45; template, likely"
    assert [part["amount"] for part in price["parts"]] == ["90.000", "90.000", "120.000"]


def test_a_change_needs_the_version_that_was_read(phone, draft):
    read = phone.get(address(draft))
    assert phone.patch(address(draft), {"title": "A"}).status_code == 428
    kept = {"If-Match": read["ETag"]}
    assert phone.patch(address(draft), {"title": "A"}, headers=kept).json()["title"] == "A"
    assert phone.patch(address(draft), {"title": "B"}, headers=kept).status_code == 412


def test_rows_are_changed_by_their_ids(phone, draft):
    stage = draft.stages.get()
    read = phone.get(address(draft))
    asked = {"stages": [{"id": stage.pk, "hours": "6"}]}
    answer = phone.patch(address(draft, "rows/"), asked, headers={"If-Match": read["ETag"]})
    assert answer.json()["stages"][0]["hours"] == "6.00"


@pytest.mark.parametrize(
    ("asked", "where"),
    [
        ({"stages": [{"hours": "6"}]}, "stages"),
        ({"stages": [{"id": 1, "hours": "six"}]}, "hours"),
        ({"stages": {}}, "stages"),
    ],
    ids=["no id", "a word", "no list"],
)
def test_rows_that_can_not_be_read_are_named(phone, draft, asked, where):
    answer = phone.patch(address(draft, "rows/"), asked, headers={"If-Match": "*"})
    assert answer.status_code == 400
    assert where in answer.json()["errors"][0]["field"]


def test_from_issue_to_acceptance(phone, draft):
    assert phone.post(address(draft, "issue/")).json()["number"] == "Q-2027-001"
    for kind in ("application/pdf", "application/octet-stream"):
        paper = phone.get(address(draft, "document/"), headers={"Accept": kind})
        assert paper["Content-Type"] == kind
        assert paper.content.startswith(b"%PDF-")
    answer = phone.post(address(draft, "accept/"), {"by": "Osric Pondweed"}).json()
    assert answer["serial"] == Build.objects.get().serial
    again = phone.post(address(draft, "accept/"))
    assert again.status_code == 409
    assert "only a sent quote can be accepted" in again.json()["detail"]


def test_declined_revised_and_copied(phone, draft):
    quote = issue_quote(quote=draft, on=TODAY, now=NOW)
    assert phone.post(address(quote, "decline/"), {"reason": "too dear"}).json()["state"] == (
        "declined"
    )
    assert phone.post(address(quote, "revise/")).json()["version"] == 2
    lune = make_client("Lune Farthing-Quill")
    copy = phone.post(address(quote, "copy/"), {"client": lune.pk}).json()
    assert (copy["client"], copy["number"]) == (lune.pk, "")


def test_what_was_sent_is_not_changed(phone, draft):
    issue_quote(quote=draft, on=TODAY, now=NOW)
    answer = phone.patch(address(draft), {"title": "A"}, headers={"If-Match": "*"})
    assert answer.status_code == 409


def test_a_client_with_commissions_stays(phone, draft):
    client = Client.objects.get()
    answer = phone.delete(f"/api/v1/clients/{client.pk}/", headers={"If-Match": "*"})
    assert answer.status_code == 409
    assert "cannot be deleted" in answer.json()["detail"]


def test_a_commission_is_cancelled(phone, draft):
    commission = draft.commission
    answer = phone.post(f"/api/v1/commissions/{commission.pk}/cancel/", {"why": "moved"})
    assert answer.json()["state"] == "cancelled"


@pytest.mark.parametrize("count", [1, 25])
def test_the_list_asks_a_fixed_number_of_questions(
    phone, template, count, django_assert_num_queries
):
    for number in range(count):
        make_quote(make_commission(make_client(f"{number}")), template)
    with django_assert_num_queries(4):
        phone.get("/api/v1/quotes/")


def test_a_line_at_a_tax_rate_of_its_own_is_added(phone, draft):
    fields = {"name": "Case", "cost": "180.00", "tax_kind": "S"}
    case = {"kind": "extra", "fields": fields}
    refused = phone.post(address(draft, "rows/add/"), case)
    assert refused.status_code == 409
    assert "give its own tax rate" in refused.json()["detail"]
    answer = phone.post(
        address(draft, "rows/add/"), case | {"fields": fields | {"tax_rate": "0.09"}}
    )
    assert answer.json()["extras"][0]["tax_rate"] == "0.0900"


def test_an_accepted_quote_counts_lines_without_a_material_apart_from_what_is_short(phone, draft):
    phone.post(address(draft, "issue/"))
    answer = phone.post(address(draft, "accept/"), {"by": "Osric Pondweed"}).json()
    unnamed = Build.objects.get().lines.filter(material=None).count()
    assert (answer["lines_unnamed"], unnamed > 0) == (unnamed, True)
    assert all(one["material"] for one in answer["shortages"])
