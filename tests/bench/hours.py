"""Hours: an estimate and a back-test over 500 and 5,000 builds of 18 stages."""

from datetime import date

from shop.calc.estimates.backtest import backtest
from shop.calc.estimates.estimate import estimate_hours
from shop.calc.estimates.records import Wanted
from tests.bench.timing import Row, median_of
from tests.shop.calc.estimates.shops import Truth, make_shop

FEW, MANY = 500, 5000
RUNS, WARM_UPS = 3, 1
GROWTH = 1.2
BUSY = Truth(batches=(1, 1, 2, 4), learning=0.1, days_between=2)
WANTED = Wanted(on=date(2040, 1, 1), batch=2)


def bench() -> list[Row]:
    few, many = make_shop(1, FEW, BUSY), make_shop(1, MANY, BUSY)
    return [
        *_grown("an estimate", lambda shop: estimate_hours(*shop, WANTED), few, many),
        *_grown("a back-test", lambda shop: backtest(*shop), few, many),
    ]


def _grown(what, act, few, many):
    quick = median_of(lambda: act(few), RUNS, WARM_UPS)
    slow = median_of(lambda: act(many), RUNS, WARM_UPS)
    return [
        Row(what=f"{what} from {FEW} builds", seconds=quick),
        Row(
            what=f"{what} from {MANY} builds",
            seconds=slow,
            against=f"{MANY // FEW} times that from {FEW}: growth in a straight line",
            bare=quick * MANY / FEW,
            wanted=GROWTH,
        ),
    ]
