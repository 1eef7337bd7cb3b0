from datetime import date
from time import perf_counter

import pytest

from shop.calc.estimates.backtest import backtest
from shop.calc.estimates.estimate import estimate_hours
from shop.calc.estimates.records import Wanted
from tests.shop.calc.estimates.shops import Truth, make_shop

BUSY = Truth(batches=(1, 1, 2, 4), learning=0.1, days_between=2)


def seconds_taken(builds):
    """Seconds for an estimate and for a back-test over so many builds."""
    stages, past = make_shop(1, builds, BUSY)
    begun = perf_counter()
    estimate_hours(stages, past, Wanted(on=date(2040, 1, 1), batch=2))
    estimated = perf_counter()
    backtest(stages, past)
    return estimated - begun, perf_counter() - estimated


@pytest.mark.slow
def test_five_thousand_builds_are_fitted_and_tried_in_seconds(capsys):
    taken = {builds: seconds_taken(builds) for builds in (500, 5000)}
    with capsys.disabled():
        for builds, (fit, test) in taken.items():
            print(f"\n  {builds} builds of 18 stages: estimate {fit:.2f} s, back-test {test:.2f} s")
    assert sum(taken[5000]) < 30
    assert sum(taken[5000]) < 20 * (sum(taken[500]) + 0.1)
