"""A clock that was set back or ran ahead: numbers of invoices and their days run the same way."""

from datetime import timedelta

import pytest

from inventory.base.refusals import Refusal
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.models import Invoice
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


@pytest.fixture
def accepted(workshop, settings, tmp_path, monkeypatch):
    at(monkeypatch, NOW)
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    quote = make_quote(make_commission(make_client("Osric Pondweed")), template, on=TODAY)
    issued = issue_quote(quote=quote, on=TODAY, now=NOW)
    return accept_quote(quote=issued, on=TODAY, now=NOW).quote


def at(monkeypatch, moment):
    monkeypatch.setattr("django.utils.timezone.now", lambda: moment)


def test_no_invoice_is_issued_before_the_last_one_and_the_page_says_why(
    accepted, desk, monkeypatch
):
    issue_invoice(quote=accepted, part=0, on=TODAY)
    at(monkeypatch, NOW - WEEK)
    answer = desk.post(f"/quotes/{accepted.pk}/invoice/1/", {})
    said = answer.content.decode()
    assert answer.status_code == 409
    assert f"was issued on {TODAY.day} {TODAY:%B %Y}, and today is {(TODAY - WEEK).day} " in said
    assert "Set the clock right" in said
    at(monkeypatch, NOW)
    assert desk.post(f"/quotes/{accepted.pk}/invoice/1/", {}).status_code == 302
    days = Invoice.objects.order_by("number").values_list("issued_on", flat=True)
    assert list(days) == [TODAY, TODAY]


def test_after_a_clock_that_ran_ahead_the_wrong_invoice_is_credited_and_work_goes_on(accepted):
    wrong = issue_invoice(quote=accepted, part=0, on=TODAY + WEEK)
    with pytest.raises(Refusal, match=f"or credit {wrong.number} if its day is wrong"):
        issue_invoice(quote=accepted, part=1, on=TODAY)
    credit_invoice(invoice=wrong, on=TODAY, why="The clock was a week ahead.")
    assert issue_invoice(quote=accepted, part=0, on=TODAY).issued_on == TODAY


def test_a_clock_that_was_a_year_ahead_holds_nothing_up(accepted):
    """Each year has numbers of its own, so those of this one still run with their days."""
    issue_invoice(quote=accepted, part=0, on=TODAY.replace(year=TODAY.year + 1))
    assert issue_invoice(quote=accepted, part=1, on=TODAY).number.endswith("-001")
