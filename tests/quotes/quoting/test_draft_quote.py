"""Drafting: the template and the policy are copied in, and later changes don't reach the draft."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.models import FamilyMarkup
from tests.factories import make_family
from tests.quotes.factories import (
    ON,
    make_client,
    make_commission,
    make_policy,
    make_quote,
    sheet_now,
)
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def template(workshop):
    make_policy()
    template = make_template("Little mandolin")
    scroll = template.options.create(name="Scroll")
    make_template_stage(template, "Carve", hours=("2", "4", "8"), waiting_days=Decimal(3))
    make_template_stage(template, "Carve scroll", hours=("1", "2", "3"), option=scroll)
    make_template_line(template, "top", cost_likely=Decimal("40"))
    return template


def test_stages_and_lines_are_copied_with_their_figures(template):
    quote = make_quote(template=template)
    stage = quote.stages.first()
    assert (stage.name, stage.hours, stage.hours_low, stage.hours_high, stage.waiting_days) == (
        "Carve",
        Decimal(4),
        Decimal(2),
        Decimal(8),
        Decimal(3),
    )
    assert [(row.name, row.seed_cost) for row in quote.materials.all()] == [("top", Decimal(40))]


def test_a_later_change_of_template_or_policy_does_not_reach_the_draft(template):
    quote = make_quote(template=template)
    template.stages.update(hours_low=9, hours_likely=9, hours_high=9)
    make_policy(shop_rate=Decimal(99))
    assert sheet_now(quote).amount("labour") == Decimal("180.00")


@pytest.mark.parametrize(
    ("options", "labour"), [([], "180.00"), (["Scroll"], "270.00")], ids=["off", "on"]
)
def test_an_option_switches_its_stage(template, options, labour):
    quote = make_quote(template=template, options=options)
    assert sheet_now(quote).amount("labour") == Decimal(labour)


def test_an_option_of_another_template_is_refused(template):
    with pytest.raises(Refusal, match="has no option “Cutaway”"):
        make_quote(template=template, options=["Cutaway"])


def test_a_family_keeps_its_own_markup(template):
    line = template.lines.get()
    line.family = make_family("Strings")
    line.save()
    FamilyMarkup.objects.create(family=line.family, markup=Decimal("0.5"))
    quote = make_quote(template=template)
    FamilyMarkup.objects.all().delete()
    assert sheet_now(quote).amount("materials") == Decimal("60.00")


@pytest.mark.parametrize(
    ("registered", "country", "kind"),
    [
        (False, "", "O"),
        (True, "", "S"),
        (True, "NL", "S"),
        (True, "CH", "G"),
        (True, "BE", "S"),
    ],
    ids=["not registered", "no country known", "at home", "abroad", "in another member state"],
)
def test_tax_is_proposed_by_country(template, workshop, registered, country, kind):
    workshop.tax_registered, workshop.country = registered, "NL"
    workshop.save()
    quote = make_quote(make_commission(make_client(country=country)), template)
    assert quote.tax_kind == kind


def test_only_a_foreign_quote_carries_the_buffer(template):
    make_policy(currency_buffer=Decimal("0.02"))
    home = make_quote(template=template)
    abroad = make_quote(make_commission(make_client(currency="CHF")), template)
    assert (home.currency_buffer, abroad.currency_buffer) == (Decimal(0), Decimal("0.02"))
    assert home.drafted_on == ON


def test_a_dealer_gets_the_dealers_discount(template):
    make_policy(dealer_discount=Decimal("0.25"))
    quote = make_quote(make_commission(make_client(kind="dealer")), template)
    assert quote.dealer_discount == Decimal("0.25")
