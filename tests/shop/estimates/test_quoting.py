from datetime import date
from decimal import Decimal

import pytest

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.quoting import LEVELS, hours_at, quote_hours
from shop.estimates.calc.records import EstimateRequest
from tests.shop.estimates.shops import make_shop


@pytest.fixture(scope="module")
def estimate():
    stages, builds = make_shop(1, 12)
    return estimate_hours(
        stages, builds, EstimateRequest(on=date(2002, 1, 1)), Assumptions(draws=2000)
    )


@pytest.mark.parametrize("level", LEVELS)
def test_stage_hours_add_up_to_the_total_at_the_level_named(estimate, level):
    hours = quote_hours(estimate, level)
    assert list(hours) == [stage.key for stage in estimate.stages]
    assert float(sum(hours.values())) == pytest.approx(hours_at(estimate.total, level), abs=0.05)
    assert all(one % Decimal("0.1") == 0 for one in hours.values())


def test_stages_share_the_totals_safety_instead_of_each_adding_its_own(estimate):
    alone = sum(stage.hours.enough_80 for stage in estimate.stages)
    assert sum(quote_hours(estimate, "80").values()) < Decimal(alone)


def test_hours_may_be_quoted_in_quarters(estimate):
    hours = quote_hours(estimate, "likely", Decimal("0.25"))
    assert all(one % Decimal("0.25") == 0 for one in hours.values())


def test_a_level_that_is_not_one_is_refused(estimate):
    with pytest.raises(
        ValueError, match=r"“p80” is not a level of an estimate: use likely, mean, 80, 90\."
    ):
        quote_hours(estimate, "p80")
