"""The normal-inverse-gamma update, for a mean with or without effects, over many cases at once.

Values are differences from what the prior expects, so that every prior coefficient is 0. Source:
the conjugate normal model of Hoff, A First Course in Bayesian Statistical Methods, ch. 5 and 9.
"""

from dataclasses import dataclass

import numpy as np

from shop.estimates.calc.distributions import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Weighted sums over past builds: of x x' (…, p, p), x y (…, p), y² (…) and weights (…)."""

    squares: Floats
    products: Floats
    values: Floats
    weights: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """Coefficients (…, p), their precision matrix (…, p, p), and shape and rate (…)."""

    coefficients: Floats
    precision: Floats
    shape: Floats
    rate: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """The Student t of the next value: centre, scale and degrees of freedom."""

    centre: Floats
    scale: Floats
    degrees: Floats


def update(sums: Sums, *, precision: Floats, shape: float, rate: float | Floats) -> Posterior:
    """Return the posterior from the prior `precision` of each coefficient (…, p) and `sums`."""
    diagonal = precision[..., :, None] * np.eye(precision.shape[-1])
    posterior_precision = diagonal + sums.squares
    coefficients = np.linalg.solve(posterior_precision, sums.products[..., None])[..., 0]
    explained = (coefficients * sums.products).sum(axis=-1)
    return Posterior(
        coefficients=coefficients,
        precision=posterior_precision,
        shape=shape + sums.weights / 2,
        rate=rate + np.maximum(sums.values - explained, 0) / 2,
    )


def predict(posterior: Posterior, design: Floats) -> Prediction:
    """Return the predictive t of one more value at each row of `design` (…, p)."""
    solved = np.linalg.solve(posterior.precision, design[..., None])[..., 0]
    doubt = 1 + (design * solved).sum(axis=-1)
    return Prediction(
        centre=(design * posterior.coefficients).sum(axis=-1),
        scale=np.sqrt(posterior.rate / posterior.shape * doubt),
        degrees=2 * posterior.shape,
    )
