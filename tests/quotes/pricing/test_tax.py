from decimal import Decimal

import pytest
from hypothesis import given

from inventory.base.refusals import Refusal
from quotes.pricing.calc.tax import (
    EXPORT,
    NOT_REGISTERED,
    REVERSE_CHARGE,
    TaxCategory,
    Taxed,
    TaxRate,
    cost_to_maker,
    standard,
    taxed_from_gross,
    taxed_from_net,
)
from tests.quotes.strategies import RATES, cents

TWENTY = standard(Decimal(20))


def test_tax_is_put_on_a_net_amount():
    # Walk-through W1.
    assert taxed_from_net(Decimal("3140.00"), TWENTY) == Taxed(
        net=Decimal("3140.00"), tax=Decimal("628.00"), gross=Decimal("3768.00")
    )


def test_tax_is_taken_out_of_a_gross_amount():
    assert taxed_from_gross(Decimal("1130.40"), TWENTY).net == Decimal("942.00")


@given(net=cents(), rate=RATES)
def test_taking_the_tax_out_undoes_putting_it_on(net, rate):
    assert taxed_from_gross(taxed_from_net(net, rate).gross, rate).gross == (
        taxed_from_net(net, rate).gross
    )


@given(gross=cents(), rate=RATES)
def test_a_gross_amount_is_met_to_the_cent_or_missed_by_one(gross, rate):
    assert abs(taxed_from_gross(gross, rate).gross - gross) <= Decimal("0.01")


def test_a_gross_amount_between_two_that_can_be_reached_is_missed_by_one_cent():
    # At 20 %: net 0.02 makes 0.02 and net 0.03 makes 0.04.
    assert taxed_from_gross(Decimal("0.03"), TWENTY).gross in {Decimal("0.02"), Decimal("0.04")}


def test_an_amount_whose_tax_does_not_add_up_cannot_exist():
    with pytest.raises(ValueError, match=r"Net 1\.00 and tax 0\.20 are not gross 1\.21"):
        Taxed(net=Decimal("1.00"), tax=Decimal("0.20"), gross=Decimal("1.21"))


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (TWENTY, "20 %"),
        (standard(Decimal("5.50")), "5.5 %"),
        (REVERSE_CHARGE, "Reverse charge: the client accounts for the tax"),
        (EXPORT, "Export"),
        (NOT_REGISTERED, "The maker is not registered for tax"),
    ],
)
def test_a_document_says_the_rate_or_why_there_is_none(rate, words):
    assert rate.words == words


@pytest.mark.parametrize(
    ("category", "percent", "sentence"),
    [
        ("S", "0", "A taxed line needs a rate above 0 %; choose zero-rated for a rate of 0 %."),
        ("G", "20", "Export: the rate must be 0 %, not 20 %."),
        ("S", "-5", "The tax rate is -5; it must be 0 or more."),
    ],
)
def test_a_rate_that_contradicts_its_category_is_refused(category, percent, sentence):
    with pytest.raises(Refusal) as refused:
        TaxRate(category=TaxCategory(category), percent=Decimal(percent))
    assert refused.value.sentence == sentence


@pytest.mark.parametrize(("percent", "cost"), [("0", "65.00"), ("20", "78.00")])
def test_tax_that_cannot_be_reclaimed_is_part_of_the_cost(percent, cost):
    assert cost_to_maker(Decimal("65.00"), Decimal(percent)) == Decimal(cost)
