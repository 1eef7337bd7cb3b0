"""Invented shops whose true hours are known, to see what estimates make of their records."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from shop.estimates.calc.records import PastBuild, StageFigures

OPENED = date(2001, 1, 1)


@dataclass(frozen=True, kw_only=True)
class Truth:
    """How a shop really works; `template_error` is how far the template's figures are off."""

    stages: int = 18
    common_share: float = 0.3
    learning: float = 0.0
    batches: tuple[int, ...] = (1,)
    template_error: float = 0.25
    days_between: int = 12


def make_shop(seed, builds, truth=None):
    """Return the template and the past builds of a shop."""
    truth = truth or Truth()
    rng = np.random.default_rng(seed)
    middle = np.exp(rng.normal(np.log(5), 0.5, truth.stages))
    spread = rng.uniform(0.12, 0.35, truth.stages)
    savings = rng.choice([0, 0.1, 0.15, 0.2, 0.3], truth.stages)
    template = [
        _figures(rng, place, middle[place], spread[place], savings[place], truth.template_error)
        for place in range(truth.stages)
    ]
    sizes = _batch_sizes(rng, truth, builds)
    started = OPENED
    past = []
    for number, size in enumerate(sizes, start=1):
        saved = 1 - savings * {1: 0, 2: 1, 4: 1.5}[size]
        logs = np.log(middle * saved) + spread * _deviations(rng, truth)
        logs += truth.learning * np.log(10 / min(number, 10))
        past.append(
            PastBuild(
                key=f"build {number}",
                started=started,
                finished=started + timedelta(days=60),
                number=number,
                batch=size,
                hours={f"stage {place}": hours for place, hours in enumerate(np.exp(logs))},
            )
        )
        started += timedelta(days=truth.days_between)
    return template, past


def _figures(rng, place, middle, spread, saving, error):
    likely = middle * np.exp(rng.normal(-0.1, error))
    reach = 1.2816 * spread * np.exp(rng.normal(0.1, 0.3))
    return StageFigures(
        key=f"stage {place}",
        low=likely * np.exp(-reach),
        likely=likely,
        high=likely * np.exp(reach),
        batch_savings={2: saving, 4: 1.5 * saving} if saving else {},
    )


def _batch_sizes(rng, truth, builds):
    sizes = []
    while len(sizes) < builds:
        size = int(rng.choice(truth.batches))
        sizes += [size] * size
    return sizes[:builds]


def _deviations(rng, truth):
    common, apart = rng.normal(), rng.normal(size=truth.stages)
    return np.sqrt(truth.common_share) * common + np.sqrt(1 - truth.common_share) * apart
