"""What an estimate takes for granted: what a maker may change, and what is fixed.

Every figure is a choice of this program without a source, unless one is named beside it.
"""

from dataclasses import dataclass
from typing import Literal

EARLY_NUMBERS = 3
"""Builds up to this number in their pattern count as early when learning is fitted."""

FEW_BUILDS = 3
"""With fewer past builds than this an estimate says that it is mostly the template's."""

LEAST_SPREAD = 0.03
"""No stage is surer than this (standard deviation of log hours), whatever the template says."""

USUAL_SAVING = 0.15
"""Unit in which a saving is fitted where the template states none: of each doubling of a batch."""

FURTHEST_SURPRISE = 4.0
"""A surprise counts as this many scales at most when the common share is estimated."""

LARGEST_SHARE = 0.95
"""The most of a surprise that the whole build is taken to share."""

BACKTEST_DRAWS = 1000
"""Totals simulated for each past build of a back-test."""

ENOUGH_TO_JUDGE = 10
"""With fewer scored builds than this a back-test gives no verdict."""


SHOP_DOUBT = 0.10
"""How far the hours of all builds of a shop may be off together (standard deviation of the log),
whatever is known of each template. In simulated queues without it, a day of 80 % was kept less
often the more builds there were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumptions:
    """How templates and past builds are read and weighed.

    low_percentile, high_percentile: what the template's low and high mean: of a hundred builds,
        so many take less.
    likely_is: whether the template's likely figure is the middle one (`median`) or the most
        frequent (`mode`) of builds to come.
    worth: past builds that the template's likely figure is worth.
    spread_worth: past builds that the template's spread between low and high is worth.
    half_life_years: years after which a past build counts half; None if age does not matter.
    common_share: how much of the surprise in a stage is shared by the whole build (0 to 1), until
        past builds say; `common_worth` is the number of past builds that this is worth.
    least_each_side: past builds needed with and without something (a batch, an option, an early
        number) before its effect is fitted; with fewer, the template's own figure is used.
    batch_doubt, learning_doubt, option_doubt: how far those effects may stray from the template's
        (standard deviations: of the part of the stated saving that is real, of the log of hours
        for each unit of log number, of the log of hours).
    template_doubt: how far the likely figures of a whole template may be off together (standard
        deviation of the log of hours).
    pooled_worth: past stages of builds that the template's trust in itself is worth, before their
        scatter widens or narrows all of its ranges.
    first_more: part by which the first build of a pattern takes longer than a settled one (common
        practice, no source: 0.3 to 0.6); it falls along a curve until the settled number.
    settled_number: from this number in its pattern on, a build teaches nothing more (common
        practice, no source).
    drift_chance: chance that the hours of a template stepped up or down since one of its builds, as
        with a new method, before they tell.
    draws, seed: how many totals are simulated, and from which seed.
    """

    low_percentile: float = 10
    high_percentile: float = 90
    likely_is: Literal["median", "mode"] = "median"
    worth: float = 2
    spread_worth: float = 6
    half_life_years: float | None = 6
    common_share: float = 0.3
    common_worth: float = 3
    least_each_side: int = 3
    batch_doubt: float = 0.5
    learning_doubt: float = 0.1
    option_doubt: float = 0.2
    template_doubt: float = 0.3
    pooled_worth: float = 10
    first_more: float = 0.0
    settled_number: int = 10
    drift_chance: float = 0.15
    draws: int = 20_000
    seed: int = 1

    def __post_init__(self) -> None:
        if not 0 < self.low_percentile < 50 < self.high_percentile < 100:
            raise ValueError("Low must be a percentile under 50, and high one over 50.")
        if self.worth <= 0 or self.common_worth <= 0:
            raise ValueError("The weight of the likely hours must be more than 0 builds.")
        if self.spread_worth <= 2:
            raise ValueError("The weight of the spread must be more than 2 builds.")
        if self.half_life_years is not None and self.half_life_years <= 0:
            raise ValueError("The years for half weight must be above 0.")
        if not 0 <= self.common_share < 1:
            raise ValueError("The shared deviation must be from 0 to under 1.")
        if min(self.batch_doubt, self.learning_doubt, self.option_doubt) <= 0:
            raise ValueError("The uncertainty of an effect must be above 0.")
        if self.template_doubt <= 0 or self.pooled_worth <= 0:
            raise ValueError(
                "The uncertainty of a template and the weight of its ranges must be above 0."
            )
        if not 0 <= self.drift_chance < 1:
            raise ValueError("The chance of a change in hours must be from 0 to under 1.")
        if not 0 <= self.first_more <= 5:
            raise ValueError("A first build takes from 0 to 5 times its hours more.")
        if self.settled_number < 1:
            raise ValueError("Learning can't end before the first build.")
        if self.draws < 100:
            raise ValueError("A total needs at least 100 simulated builds.")
