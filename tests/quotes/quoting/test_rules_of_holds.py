"""Stock reserved for quotes goes free when its quote loses it: at once, and before others ask."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.models import KeptAs, Promise
from quotes.models import Quote
from quotes.pricing.queries.pricing import costed_lines
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.holds import hold_stock
from quotes.quoting.services.issue import issue_quote
from tests.inventory.stocked import stocked
from tests.quotes.factories import make_commission, make_quote
from tests.shop.factories import NOW, TODAY, make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db
DAY = timedelta(1)


@pytest.fixture
def wire(workshop):
    return stocked(KeptAs.LENGTH, 1000, name="Fretwire", unit="m")


@pytest.fixture
def template(wire):
    template = make_template("Flat-top guitar")
    make_template_stage(template, "Carve")
    make_template_line(template, "Frets", material=wire, quantity=Decimal("0.4"), unit="m")
    return template


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def reserved_for(quote):
    rows = Promise.objects.filter(holder=quote.holder, outstanding__gt=0)
    return sum((row.outstanding for row in rows), Decimal(0))


def test_accepting_one_quote_of_a_commission_frees_what_its_others_hold(template):
    commission = make_commission()
    first, second = (make_quote(commission, template, on=TODAY) for _ in range(2))
    for quote in (first, second):
        hold_stock(quote=quote, until=TODAY + 9 * DAY, on=TODAY, now=NOW)
        issue_quote(quote=quote, on=TODAY, now=NOW)
    assert reserved_for(second) > 0
    accept_quote(quote=Quote.objects.get(pk=first.pk), on=TODAY, now=NOW)
    assert reserved_for(second) == 0
    second.refresh_from_db()
    assert (second.state, second.held_until) == (Quote.State.REPLACED, None)


def test_a_hold_that_is_over_stands_in_nobodys_way(template, wire):
    template.lines.update(quantity=Decimal("0.9"))
    first, second = (make_quote(make_commission(), template, on=TODAY) for _ in range(2))
    hold_stock(quote=first, until=TODAY, on=TODAY, now=NOW)
    missing = hold_stock(quote=second, until=TODAY + 9 * DAY, on=TODAY + DAY, now=NOW + DAY)
    assert missing == []
    assert reserved_for(first) == 0
    assert reserved_for(second) > 0


@pytest.mark.parametrize(("checked", "is_old"), [(180, False), (185, True), (300, True)], ids=str)
def test_a_draft_says_of_a_price_that_it_is_old_after_six_months(template, wire, checked, is_old):
    wire.replacement_checked_on = TODAY - checked * DAY
    wire.save(update_fields=["replacement_checked_on"])
    quote = make_quote(make_commission(), template, on=TODAY)
    (line,) = costed_lines(quote, on=TODAY)
    assert ("last checked" in f"{line.warning}") is is_old
