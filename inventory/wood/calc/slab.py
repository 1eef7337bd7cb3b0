"""Drying of a slab by diffusion with surface resistance: the part of its water lost by a time.

Time is T = D t / l², with half-thickness l and diffusion coefficient D; the surface resists as
C = l h / D says, the ratio of what the surface and what the inside let through (Biot number).
Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, section 4.3.6.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

MODES = 24
"""Terms of the series: enough for four places from T = 0.001 on."""

HALVINGS = 50


def roots(resistance: ArrayLike, modes: int = MODES) -> Floats:
    """Return the first positive roots of b tan b = C for each C above 0: (…, modes)."""
    c = np.asarray(resistance, dtype=float)[..., None]
    low = np.arange(modes) * np.pi + np.zeros_like(c)
    high = low + np.pi / 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        # Each root lies in a quarter turn where sine and cosine have one sign.
        over = middle * np.abs(np.sin(middle)) > c * np.abs(np.cos(middle))
        high = np.where(over, middle, high)
        low = np.where(over, low, middle)
    return np.asarray((low + high) / 2)


def weights(resistance: ArrayLike, of_roots: Floats) -> Floats:
    """Return what each root's term carries of all that is to be lost; together about 1."""
    c = np.asarray(resistance, dtype=float)[..., None]
    squares = of_roots**2
    return np.asarray(2 * c**2 / (squares * (squares + c**2 + c)))


def part_lost(time: ArrayLike, resistance: float) -> Floats:
    """Return E(T): the part lost by each T above 0, of all that will be lost."""
    found = roots(resistance)
    decays = np.exp(-(found**2) * np.asarray(time, dtype=float)[..., None])
    return np.asarray(1 - (weights(resistance, found) * decays).sum(axis=-1))
