import numpy as np
import pytest
from scipy import stats

from shop.estimates.calc.rolling import Answers
from shop.estimates.calc.totals import shuffled_normals, simulated_totals


def answers(centre, scale, degrees):
    shape = np.shape(centre)
    return Answers(
        centre=np.array(centre),
        scale=np.full(shape, scale),
        degrees=np.full(shape, float(degrees)),
        coefficients=np.zeros((*shape, 1)),
        fitted=np.ones((*shape, 1), dtype=bool),
        past=np.zeros(shape, dtype=np.int64),
        past_weight=np.zeros(shape),
        together=np.zeros(shape[0]),
    )


def totals(found, share, draws=20_000):
    share = np.full(len(found.centre), share)
    return simulated_totals(found, share, np.ones(found.centre.shape), draws=draws, seed=1)


@pytest.mark.parametrize("share", [0, 0.4])
def test_a_single_stage_keeps_its_own_distribution(share):
    draws = totals(answers([[np.log(7)]], 0.3, 8), share)[0]
    levels = [0.05, 0.25, 0.5, 0.75, 0.95]
    exact = np.exp(np.log(7) + 0.3 * stats.t.ppf(levels, 8))
    assert np.quantile(draws, levels) == pytest.approx(exact, rel=0.01)


@pytest.mark.parametrize("share", [0, 0.3, 0.8])
def test_stages_vary_together_as_far_as_the_share_says(share):
    draws = totals(answers([[np.log(7)] * 18], 0.02, 1e6), share)[0]
    # With little spread hours are nearly normal: var = n s² h² (1 + (n - 1) share).
    expected = 7 * 0.02 * np.sqrt(18 * (1 + 17 * share))
    assert draws.std() == pytest.approx(expected, rel=0.02)


def test_stages_that_are_not_included_do_not_count():
    found = answers([[np.log(7), np.log(4)]], 0.01, 50)
    draws = simulated_totals(found, np.array([0.3]), np.array([[1.0, 0.0]]), draws=1000, seed=1)
    assert np.median(draws) == pytest.approx(7, rel=0.01)


def test_a_question_gets_the_same_draws_alone_and_among_others():
    centres = np.log(np.random.default_rng(1).uniform(2, 9, (70, 4)))
    together = totals(answers(centres, 0.2, 9), 0.3, draws=500)
    assert np.array_equal(together[50:51], totals(answers(centres[50:51], 0.2, 9), 0.3, draws=500))


def test_draws_are_evenly_spread_in_every_row_and_unrelated_between_rows():
    rows = shuffled_normals(4, 2000, seed=3)
    assert np.sort(rows, axis=1)[0] == pytest.approx(stats.norm.ppf((np.arange(2000) + 0.5) / 2000))
    assert np.abs(np.corrcoef(rows) - np.eye(4)).max() < 0.1
