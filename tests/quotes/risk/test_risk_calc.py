from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtri
from scipy.stats import beta

from inventory.base.refusals import Refusal
from quotes.pricing.calc.contingency import FailureRisk, expect_failures
from quotes.risk.calc import (
    PriceMovement,
    RiskyJob,
    chance_curve,
    hour_range,
    met_by_chance,
    price_for_chance,
    risk_of,
    sampled_hours,
    simulate,
)

# Low, likely and high hours of a solid electric bouzouki: common practice, no source.
RANGES = [
    ("1", "2", "4"), ("1.5", "2.5", "4"), ("2", "3.5", "6"), ("1.5", "3", "6"), ("2", "4", "7"),
    ("1.5", "3.5", "7"), ("2", "4", "7"), ("2", "3.5", "6"), ("1", "3", "6"), ("2", "4", "7"),
    ("2", "4", "8"), ("2", "3", "6"), ("1", "2.5", "4"), ("2", "4", "6"), ("1", "1.5", "3"),
]  # fmt: skip

JOB = RiskyJob(
    hours=tuple(hour_range(*map(Decimal, each)) for each in RANGES),
    moving_cost=Decimal("560.80"),
    overhead_per_hour=Decimal("13.04"),
    wanted_per_hour=Decimal("27.17"),
    failures=(
        FailureRisk(
            name="Cap splits",
            stage="Cap",
            chance_percent=Decimal(8),
            hours=Decimal(3),
            cost=Decimal(45),
        ),
    ),
    cost_movement=PriceMovement(expected_percent=Decimal(4), spread_percent=Decimal(5)),
)


def fixed(hours, **fields):
    """A job whose hours are known."""
    known = Decimal(hours)
    return RiskyJob(
        hours=(hour_range(known, known, known),),
        overhead_per_hour=Decimal(10),
        wanted_per_hour=Decimal(20),
        **fields,
    )


def test_the_same_seed_gives_the_same_answer():
    first, again = (risk_of(simulate(JOB, seed=7), Decimal(3080)) for _ in range(2))
    assert first == again
    assert first != risk_of(simulate(JOB, seed=8), Decimal(3080))


def test_a_job_without_uncertainty_has_no_chance_between():
    # 50 h × (20 + 10) + 500 = 2,000.
    runs = simulate(fixed(50, fixed_cost=Decimal(500)), seed=1, runs=100)
    assert [
        point.below_wanted for point in chance_curve(runs, [Decimal("1999.99"), Decimal(2000)])
    ] == [
        100,
        0,
    ]
    assert risk_of(runs, Decimal(2000)).hourly.middle == Decimal("30.00")
    assert risk_of(runs, Decimal(2000)).earned.middle == Decimal("20.00")
    assert price_for_chance(runs, Decimal(80)) == Decimal(2000)


def test_less_than_nothing_is_less_than_the_overhead():
    # 50 h × 10 + 500 = 1,000.
    runs = simulate(fixed(50, fixed_cost=Decimal(500)), seed=1, runs=100)
    assert risk_of(runs, Decimal(1000)).below_nothing == 0
    assert risk_of(runs, Decimal("999.99")).below_nothing == 100


def test_another_seed_moves_no_chance_by_more_than_is_shown():
    """By 0.10 points here (sd, mean over prices); by 0.2 with 60,000 independent draws."""
    prices = [Decimal(price) for price in range(2300, 2900, 60)]
    runs = [simulate(JOB, seed=seed) for seed in range(12)]
    needed = [one.needed(one.wanted_per_hour) for one in runs]
    chances = np.array([[(one > float(price)).mean() for price in prices] for one in needed])
    assert 0.3 < chances.mean() < 0.7, "prices at which chances differ"
    assert 100 * chances.std(axis=0).mean() < 0.12


def test_hours_of_making_again_vary_about_their_mean():
    failure = FailureRisk(name="F", stage="S", chance_percent=Decimal(50), hours=Decimal(10))
    job = fixed(50, failures=(failure,), redo_spread_percent=Decimal(40))
    again = simulate(job, seed=1, runs=200_000).hours - 50
    # A geometric number N of sums with mean 10 and deviation 4: E N = 1, Var N = 2.
    assert abs(again.mean() - 10) < 0.1
    assert abs(again.var() - (1 * 16 + 2 * 100)) < 5


def test_a_stage_met_by_chance_counts_by_it():
    plain = hour_range(Decimal(4), Decimal(6), Decimal(8))
    at = (np.arange(20_000) + 0.5) / 20_000
    drawn = met_by_chance(plain, 0.25)(at)
    assert (drawn == 0).mean() == 0.75
    assert abs(drawn.mean() - 1.5) < 1e-3
    assert met_by_chance(plain, 1.0) is plain


def test_a_known_failure_chance_comes_out():
    failure = FailureRisk(name="F", stage="S", chance_percent=Decimal(20), hours=Decimal(5))
    runs = simulate(fixed(50, failures=(failure,)), seed=1, runs=100_000)
    # Without a failure 50 h × 30 = 1,500 is enough; the standard error is 0.13 %.
    assert abs(risk_of(runs, Decimal(1500)).below_wanted - 20) < Decimal("0.6")


def test_simulated_failures_cost_what_is_expected_of_them():
    [failure] = JOB.failures
    job = fixed(50, failures=(replace(failure, hours=Decimal(0)),))
    runs = simulate(job, seed=1, runs=200_000)
    expected = expect_failures(job.failures, Decimal(45))
    assert abs(runs.costs.mean() - float(expected.amount)) < 0.15
    assert abs(runs.costs.std() - float(expected.spread)) < 0.3


@pytest.mark.parametrize("hours", RANGES[:4])
def test_an_hour_range_has_the_mean_of_three_point_estimates(hours):
    low, likely, high = map(Decimal, hours)
    at = (np.arange(20_000) + 0.5) / 20_000
    drawn = hour_range(low, likely, high)(at)
    assert abs(drawn.mean() - float((low + 4 * likely + high) / 6)) < 1e-3
    assert float(low) <= drawn.min() <= drawn.max() <= float(high)


@pytest.mark.parametrize("hours", RANGES[:4])
def test_the_table_of_an_hour_range_is_true_to_the_beta_distribution(hours):
    low, likely, high = map(float, hours)
    width = high - low
    exact = beta(1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, low, width)
    at = np.linspace(0, 1, 4001)
    assert np.abs(hour_range(*map(Decimal, hours))(at) - exact.ppf(at)).max() < 1e-3 * width


def test_independent_stages_add_up_to_a_normal_distribution():
    # Means 3, 8, 6 and standard deviations 1, 2, 2: the sum is at most 20 with chance 0.8413
    # (mean 17, deviation 3). Source: normal distribution.
    stages = [(3, 1), (8, 2), (6, 2)]
    job = RiskyJob(
        hours=tuple(lambda at, m=mean, s=sd: m + s * ndtri(at) for mean, sd in stages),
        overhead_per_hour=Decimal(0),
        wanted_per_hour=Decimal(1),
    )
    runs = simulate(job, seed=3, runs=200_000)
    assert abs(risk_of(runs, Decimal(20)).below_wanted - Decimal("15.87")) < Decimal("0.3")


def test_stages_that_run_long_together_spread_wider():
    alone = simulate(JOB, seed=5).hours.std()
    together = simulate(replace(JOB, together=0.8), seed=5).hours.std()
    assert together > 1.5 * alone


def test_sampled_hours_are_drawn_as_they_were_sampled():
    job = RiskyJob(
        hours=(sampled_hours([40.0, 44.0, 60.0]),),
        overhead_per_hour=Decimal(0),
        wanted_per_hour=Decimal(1),
    )
    hours = simulate(job, seed=1).hours
    assert 40 <= hours.min() <= hours.max() <= 60
    assert abs(np.median(hours) - 44) < 0.3


def test_a_movement_keeps_its_mean_and_spread():
    job = fixed(
        1,
        moving_cost=Decimal(100),
        cost_movement=PriceMovement(expected_percent=Decimal(10), spread_percent=Decimal(5)),
    )
    costs = simulate(job, seed=1, runs=200_000).costs
    assert abs(costs.mean() - 110) < 0.05
    assert abs(costs.std() - 5) < 0.05


def test_a_fee_and_a_falling_currency_raise_the_price_that_is_needed():
    # (50 h × 30) / (0.9 × 0.97) = 1,718.21.
    job = fixed(
        50, fee_percent=Decimal(3), takings_movement=PriceMovement(expected_percent=Decimal(-10))
    )
    runs = simulate(job, seed=1, runs=100)
    assert price_for_chance(runs, Decimal(50)) == Decimal("1718.22")
    # 2,000 × 0.9 × 0.97 / 50 h.
    assert risk_of(runs, Decimal(2000)).hourly.middle == Decimal("34.92")


def test_what_a_failure_loses_is_bought_again_at_the_moved_price():
    failure = FailureRisk(name="F", stage="S", chance_percent=Decimal(50), cost=Decimal(100))
    job = fixed(1, failures=(failure,), cost_movement=PriceMovement(expected_percent=Decimal(20)))
    assert set(np.unique(simulate(job, seed=1, runs=100).costs % 120)) <= {0.0}


@pytest.mark.parametrize("chance", [50, 80, 95])
def test_the_price_for_a_chance_reaches_it(chance):
    runs = simulate(JOB, seed=11)
    price = price_for_chance(runs, Decimal(chance))
    assert 100 - risk_of(runs, price).below_wanted >= chance
    assert 100 - risk_of(runs, price - Decimal("0.01")).below_wanted <= chance


def test_the_price_for_a_chance_goes_up_to_its_step():
    price = price_for_chance(simulate(JOB, seed=11), Decimal(80), step=Decimal(10))
    assert price % 10 == 0


@settings(max_examples=25)
@given(prices=st.lists(st.integers(0, 9000), min_size=2, max_size=6).map(sorted))
def test_a_higher_price_never_risks_more(prices):
    points = chance_curve(simulate(JOB, seed=2, runs=500), [Decimal(price) for price in prices])
    below = [point.below_wanted for point in points]
    assert below == sorted(below, reverse=True)
    assert all(point.below_nothing <= point.below_wanted for point in points)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: hour_range(Decimal(2), Decimal(1), Decimal(3)), "must rise in that order"),
        (lambda: sampled_hours([]), "at least one of them"),
        (lambda: sampled_hours([-1.0]), "0 or more"),
        (lambda: simulate(JOB, seed=1, runs=10), "runs, not 10"),
        (lambda: simulate(fixed(0), seed=1, runs=100), "needs hours above 0 in every run"),
        (lambda: replace(JOB, hours=()), "at least one stage"),
        (lambda: replace(JOB, fixed_cost=Decimal(-1)), "The cost is -1"),
        (lambda: replace(JOB, fee_percent=Decimal(100)), "The payment fee is 100 %"),
        (lambda: replace(JOB, together=1.5), "Running long together is 150"),
        (lambda: PriceMovement(expected_percent=Decimal(-100)), "can't fall by 100 %"),
        (lambda: PriceMovement(spread_percent=Decimal(101)), "The spread is 101 %"),
        (
            lambda: price_for_chance(simulate(JOB, seed=1, runs=100), Decimal(100)),
            "The chance is 100 %",
        ),
    ],
)
def test_a_simulation_that_cannot_be_meant_is_refused(call, sentence):
    with pytest.raises(Refusal, match=sentence):
        call()
