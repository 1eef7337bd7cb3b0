"""Sums over past builds of one case, added up plainly."""

from shop.estimates.calc.conjugate import Sums


def sums_of(values, design, weights):
    """Add up `values` (n), rows of `design` (n, p), each counted `weights` (n) times."""
    weighted = design * weights[:, None]
    return Sums(
        squares=weighted.T @ design,
        products=weighted.T @ values,
        values=weights @ values**2,
        weights=weights.sum(),
    )
