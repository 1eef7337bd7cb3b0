"""Tax rates hold from their day on; a quote keeps the rate of its own day."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.models import DatedTaxRate
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.services import add_tax_rate, remove_tax_rate
from quotes.quoting.services.draft import copy_quote
from quotes.quoting.services.edit import edit_quote
from tests.quotes.factories import make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db
JUNE = date(2027, 6, 1)


@pytest.fixture
def template(workshop):
    make_policy(shipping=Decimal(60))
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    add_tax_rate(since=date(2026, 1, 1), rate=Decimal("0.19"))
    add_tax_rate(since=JUNE, rate=Decimal("0.21"))
    return template


@pytest.mark.parametrize(
    ("on", "rate"),
    [
        ("2025-12-31", "0.20"),
        ("2026-01-01", "0.19"),
        ("2027-05-31", "0.19"),
        ("2027-06-01", "0.21"),
    ],
    ids=["before any", "the first day", "the last day", "the new rate"],
)
def test_a_draft_takes_the_rate_of_its_day(template, on, rate):
    assert make_quote(template=template, on=date.fromisoformat(on)).tax_rate == Decimal(rate)


def test_a_copy_takes_the_rate_of_its_own_day(template):
    quote = make_quote(template=template, on=date(2027, 3, 2))
    assert copy_quote(quote=quote, on=JUNE).tax_rate == Decimal("0.21")


def test_a_rate_that_the_maker_chose_stays_in_a_copy(template):
    quote = make_quote(template=template, on=date(2027, 3, 2))
    quote = edit_quote(quote=quote, tax_rate=Decimal("0.09"))
    assert copy_quote(quote=quote, on=JUNE).tax_rate == Decimal("0.09")


def test_shipping_may_have_its_own_rate(template):
    quote = make_quote(template=template, on=date(2027, 3, 2))
    quote = edit_quote(quote=quote, shipping_tax_rate=Decimal("0.09"))
    document = live_offer(quote, on=JUNE).document
    assert [(group.taxable, group.tax) for group in document.groups] == [
        (Decimal("990.00"), Decimal("188.10")),
        (Decimal("60.00"), Decimal("5.40")),
    ]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"since": JUNE, "rate": Decimal("0.2")}, "There is already a"),
        ({"since": date(2028, 1, 1), "rate": Decimal(1)}, "below 100 %"),
        ({"since": JUNE, "rate": Decimal("0.2"), "name": " "}, "Give the rate a name"),
    ],
    ids=["twice", "too much", "no name"],
)
def test_a_rate_that_can_not_be_meant_is_refused(template, fields, sentence):
    with pytest.raises(Refusal, match=sentence):
        add_tax_rate(**fields)


def test_a_rate_entered_by_mistake_is_removed(template):
    remove_tax_rate(rate=DatedTaxRate.objects.get(since=JUNE))
    assert make_quote(template=template, on=JUNE).tax_rate == Decimal("0.19")
