from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.base.calc.checks import (
    above_zero,
    not_below_zero,
    percent_below,
    percent_up_to_100,
    whole_units,
)


@pytest.mark.parametrize(
    ("check", "good", "bad", "sentence"),
    [
        (not_below_zero, "0", "-1", "The rate is -1; it must be 0 or more."),
        (not_below_zero, "5", "NaN", "The rate is NaN; it must be 0 or more."),
        (above_zero, "0.01", "0", "The rate is 0; it must be more than 0."),
        (percent_up_to_100, "100", "101", "The rate is 101 %; it must lie between 0 % and 100 %."),
    ],
)
def test_a_number_that_cannot_be_meant_is_refused_in_a_sentence(check, good, bad, sentence):
    check(Decimal(good), "The rate", "rate")
    with pytest.raises(Refusal) as refused:
        check(Decimal(bad), "The rate", "rate")
    assert refused.value.sentence == sentence
    assert refused.value.field == "rate"


def test_a_percentage_stays_under_its_limit():
    percent_below(Decimal("89.9"), 90, "The discount", "discount")
    with pytest.raises(
        Refusal, match=r"The discount is 90 %; it must be 0 % or more and below 90 %\."
    ):
        percent_below(Decimal("90"), 90, "The discount", "discount")


@pytest.mark.parametrize(
    ("step", "sentence"),
    [
        ("-5", "The price step is -5; it must be 0 or more."),
        ("0.005", "The price step is 0.005; it must be a multiple of 0.01."),
    ],
)
def test_a_price_step_is_whole_minor_units(step, sentence):
    whole_units(Decimal("0.05"), Decimal("0.01"), "step")
    with pytest.raises(Refusal) as refused:
        whole_units(Decimal(step), Decimal("0.01"), "step")
    assert refused.value.sentence == sentence
