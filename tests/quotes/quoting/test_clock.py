"""A clock that was set back or ran ahead: versions and change orders keep their order."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.changes.services import offer_change, record_change_decision
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import revise_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


@pytest.fixture
def quote(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    return make_quote(make_commission(), template, on=TODAY)


@pytest.fixture
def accepted(quote):
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def test_no_version_is_older_than_the_one_it_replaces(quote):
    first = issue_quote(quote=quote, on=TODAY, now=NOW)
    second = revise_quote(quote=first, on=TODAY)
    with pytest.raises(Refusal, match=r"Version 1 of Q-.* Set the clock right, or"):
        issue_quote(quote=second, on=TODAY - WEEK, now=NOW - WEEK)
    assert issue_quote(quote=second, on=TODAY, now=NOW).version == 2


def test_quotes_of_other_orders_are_of_any_day(quote):
    issue_quote(quote=quote, on=TODAY, now=NOW)
    other = make_quote(make_commission(), quote.template, on=TODAY)
    assert issue_quote(quote=other, on=TODAY - WEEK, now=NOW - WEEK).issued_on == TODAY - WEEK


def test_a_change_order_waits_for_one_of_a_later_day_without_an_answer(accepted):
    ahead = offer_change(quote=accepted, title="Binding", on=TODAY + WEEK, price=Decimal(100))
    with pytest.raises(Refusal, match=r"Change order 1 was .* record a refusal of it"):
        offer_change(quote=accepted, title="Inlay", on=TODAY, price=Decimal(50))
    record_change_decision(change=ahead, agreed=False, now=NOW)
    assert offer_change(quote=accepted, title="Binding", on=TODAY, price=Decimal(100)).number == 2


def test_an_agreed_change_order_holds_nothing_up_whatever_its_day(accepted):
    ahead = offer_change(quote=accepted, title="Binding", on=TODAY + WEEK, price=Decimal(100))
    record_change_decision(change=ahead, agreed=True, now=NOW)
    assert (
        offer_change(quote=accepted, title="Inlay", on=TODAY, price=Decimal(50)).offered_on == TODAY
    )
