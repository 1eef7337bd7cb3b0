"""Draws: skipped stages, and what all builds of a pattern and of the shop share."""

import numpy as np
import pytest

from shop.queue.calc.draws import BuildGuess, Guess, ShopGuess, draw_chances
from shop.queue.calc.network import network_of
from shop.queue.calc.records import Job, Stage

DRAWS = 2000


def drawn(builds, shop):
    jobs = [
        Job(
            key=build.key,
            stages=tuple(Stage(key=one.key, name=one.key, minutes=60) for one in build.stages),
        )
        for build in builds
    ]
    return draw_chances(network_of(jobs, {}), builds, shop, DRAWS).minutes


def build(key, pattern="carved", together=0.0, **stage):
    guess = Guess(key="one", centre=2.0, scale=0.05, degrees=50, **stage)
    return BuildGuess(key=key, stages=(guess,), pattern=pattern, together=together, common=0.0)


def test_a_stage_that_builds_skip_takes_nothing_in_so_many_draws():
    hours = drawn([build("a", skip=0.3)], ShopGuess())
    assert (hours == 0).mean() == pytest.approx(0.3, abs=0.01)


def test_the_doubt_about_a_pattern_is_shared_by_its_builds_and_by_no_others():
    builds = [
        build("a", together=0.4),
        build("b", together=0.4),
        build("c", "flat", together=0.4),
    ]
    logs = np.log(drawn(builds, ShopGuess(doubt=0.0)))
    related = np.corrcoef(logs.T)
    assert related[0, 1] > 0.9
    assert abs(related[0, 2]) < 0.1


@pytest.mark.parametrize(("together", "whole"), [(0.0, 0.1), (0.05, 0.1), (0.3, 0.3)])
def test_the_doubt_of_the_shop_is_part_of_that_of_a_pattern(together, whole):
    """sd of the log: the larger of the two, beside the stage's own 0.05."""
    logs = np.log(drawn([build("a", together=together)], ShopGuess(doubt=0.1)))
    assert logs.std() == pytest.approx(np.hypot(whole, 0.051), rel=0.03)
