"""Shrinkage beside that of a mixed model, fitted by statsmodels, on a balanced case."""

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf

from shop.estimates.calc.conjugate import update
from tests.shop.estimates.sums import sums_of

PATTERNS, BUILDS_EACH = 30, 6


@pytest.fixture(scope="module")
def logs():
    """Log hours of one stage: thirty patterns, each with its own level, six builds of each."""
    rng = np.random.default_rng(11)
    levels = rng.normal(np.log(7), 0.25, PATTERNS)
    return levels[:, None] + rng.normal(0, 0.2, (PATTERNS, BUILDS_EACH))


@pytest.fixture(scope="module")
def fitted(logs):
    table = pd.DataFrame({"logs": logs.ravel(), "pattern": np.repeat(range(PATTERNS), BUILDS_EACH)})
    return smf.mixedlm("logs ~ 1", table, groups="pattern").fit(reml=True)


def test_each_pattern_is_drawn_to_the_middle_as_a_mixed_model_draws_it(logs, fitted):
    # A prior worth (variance within / variance between) builds is the mixed model's shrinkage.
    middle = fitted.fe_params["Intercept"]
    worth = fitted.scale / fitted.cov_re.iloc[0, 0]
    for pattern in range(PATTERNS):
        sums = sums_of(logs[pattern] - middle, np.ones((BUILDS_EACH, 1)), np.ones(BUILDS_EACH))
        posterior = update(sums, precision=np.array([worth]), shape=3, rate=0.1)
        drawn = float(fitted.random_effects[pattern].iloc[0])
        assert posterior.coefficients[0] == pytest.approx(drawn, abs=1e-6)


def test_the_balanced_mixed_model_agrees_with_the_analysis_of_variance(logs, fitted):
    within = logs.var(axis=1, ddof=1).mean()
    between = logs.mean(axis=1).var(ddof=1) - within / BUILDS_EACH
    assert fitted.scale == pytest.approx(within, rel=1e-3)
    assert fitted.cov_re.iloc[0, 0] == pytest.approx(between, rel=1e-3)
