"""What goes into an estimate and what comes out of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFigures:
    """A template's own hours for one stage, made alone, without options, in a settled pattern.

    batch_savings: builds at once → part of the hours saved on each, such as {2: 0.15, 4: 0.22}.
    option_hours: option → hours that it adds to the likely figure. option: the one without which
    a build has no such stage, or nothing.
    """

    key: str
    low: float
    likely: float
    high: float
    batch_savings: Mapping[int, float] = field(default_factory=dict)
    option_hours: Mapping[str, float] = field(default_factory=dict)
    option: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.likely <= self.high:
            raise ValueError(
                f"{self.key}: low, likely and high hours must be above 0, and in that order."
            )
        if any(size < 2 or not 0 <= part < 1 for size, part in self.batch_savings.items()):
            raise ValueError(
                f"{self.key}: a saving needs a batch of at least 2, and must be from 0 to under 1."
            )
        if any(self.likely + hours <= 0 for hours in self.option_hours.values()):
            raise ValueError(f"{self.key}: an option can't remove all of the likely hours.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PastBuild:
    """A finished build. `hours` maps stage keys to hands-on hours; 0 or none is not recorded.

    number: its place in the pattern, 1 for the first; None when that is not known.
    weight: past builds that it counts as: 1 for the same template, less for a related one.
    factor: how many times the hours of this template it takes by nature (1.2 for a larger one).
    related: of another template, so neither scored in a back-test nor counted as one of its own.
    set_aside, stages_set_aside: kept in sight but not counted, as the maker chose.
    """

    key: str
    started: date
    finished: date
    hours: Mapping[str, float]
    batch: int = 1
    number: int | None = None
    options: frozenset[str] = frozenset()
    weight: float = 1.0
    factor: float = 1.0
    related: bool = False
    set_aside: bool = False
    stages_set_aside: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if self.finished < self.started:
            raise ValueError(f"{self.key}: done before it was started.")
        if self.batch < 1 or (self.number is not None and self.number < 1):
            raise ValueError(f"{self.key}: batch size and build number start at 1.")
        if self.weight <= 0 or self.factor <= 0:
            raise ValueError(f"{self.key}: weight and factor must be above 0.")

    def counts(self, stage: str) -> bool:
        """Say whether this build's hours of `stage` are counted."""
        hours = self.hours.get(stage, 0)
        return not self.set_aside and stage not in self.stages_set_aside and hours > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateRequest:
    """The build to estimate, as of the day `on`: only builds finished by then are used."""

    on: date
    batch: int = 1
    number: int | None = None
    options: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursRange:
    """Hours of one stage or of a whole build.

    enough_80: hours that are enough in 80 of 100 builds. range_80: the middle 80 of 100 builds.
    """

    median: float
    mean: float
    enough_80: float
    enough_90: float
    range_50: tuple[float, float]
    range_80: tuple[float, float]
    range_90: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a batch, an option or an early number does to the hours of a stage: times `factor`.

    fitted: from past builds; otherwise the template's own figure stands.
    """

    name: str
    factor: float
    fitted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PastHours:
    """One past build behind a stage: its hours, the builds it counts as, and whether it does.

    far_off: so far from what was expected beforehand that it counts for little.
    """

    build: str
    hours: float
    weight: float
    counted: bool
    far_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StageEstimate:
    """Hours of one stage, and what they were made from.

    centre, scale, degrees: the Student t of the log of hours. past: builds counted, of this
    template and of related ones; past_weight: what they are worth; template_weight: what the
    template's figures are worth. chance: that a build meets the stage; hours are what it takes
    when it does.
    """

    key: str
    hours: HoursRange
    centre: float
    scale: float
    degrees: float
    past: int
    past_weight: float
    template_weight: float
    effects: tuple[Effect, ...]
    figures: tuple[PastHours, ...]
    chance: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """Hours of a build to come: stage by stage and in total.

    past_builds: builds of this template that count. few: fewer than three, so mostly the
    template's figures. whose: a sentence that says whose figures these are. common_share: how
    much of the surprise in a stage is shared by the whole build. template_times, spread_times:
    what the template's likely hours and its ranges had to be multiplied by, as all stages
    together say. together: doubt (sd of the log) that all builds of the template share.
    """

    stages: tuple[StageEstimate, ...]
    total: HoursRange
    past_builds: int
    few: bool
    whose: str
    common_share: float
    template_times: float = 1.0
    spread_times: float = 1.0
    together: float = 0.0
