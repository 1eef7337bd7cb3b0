"""Past builds as arrays: builds by stages by effects, in the order in which they were finished."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from shop.estimates.calc.assumptions import EARLY_NUMBERS, USUAL_SAVING, Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.prior import Prior
from shop.estimates.calc.records import PastBuild, StageFigures

Flags = NDArray[np.bool_]

EFFECTS = ("level", "batch", "learning")
"""Effects that every template has; options follow them."""

LEARNING = EFFECTS.index("learning")


class Attributes(Protocol):
    """What a past build and a wanted one have in common."""

    @property
    def batch(self) -> int: ...
    @property
    def number(self) -> int | None: ...
    @property
    def options(self) -> frozenset[str]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """How each effect enters each stage.

    options: names, in the order of their columns. defaults, doubts: the template's own
    coefficients and how far they may stray (stages, effects); the level has neither. settled: the
    number in its pattern from which on a build teaches nothing more.
    """

    options: tuple[str, ...]
    stages: tuple[StageFigures, ...]
    defaults: Floats
    doubts: Floats
    settled: int

    def design(self, builds: Sequence[Attributes]) -> Floats:
        """Return what multiplies the coefficients: (builds, stages, effects), the level 1."""
        found = np.ones((len(builds), len(self.stages), len(EFFECTS) + len(self.options)))
        doublings = np.log2([build.batch for build in builds])
        for place, stage in enumerate(self.stages):
            found[:, place, 1] = _batch_log(stage, doublings)
        found[:, :, 2] = self._learning_log(builds)[:, None]
        found[:, :, 3:] = self._options_of(builds)[:, None, :]
        return found

    def present(self, builds: Sequence[Attributes]) -> Flags:
        """Say which effects are at work in each build: (builds, effects)."""
        found = np.ones((len(builds), len(EFFECTS) + len(self.options)), dtype=bool)
        found[:, 1] = [build.batch > 1 for build in builds]
        found[:, 2] = [number <= EARLY_NUMBERS for number in self._numbers(builds)]
        found[:, 3:] = self._options_of(builds)
        return found

    def _learning_log(self, builds: Sequence[Attributes]) -> Floats:
        """Return how far each build is from a settled pattern: 0 from its settled number on."""
        return np.log(self.settled / np.array(self._numbers(builds), dtype=float))

    def _numbers(self, builds: Sequence[Attributes]) -> list[int]:
        """Return numbers in the pattern, as far as they matter; unknown ones as settled."""
        return [min(build.number or self.settled, self.settled) for build in builds]

    def _options_of(self, builds: Sequence[Attributes]) -> Flags:
        rows = [[option in build.options for option in self.options] for build in builds]
        return np.array(rows, dtype=bool).reshape(len(builds), len(self.options))


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursTable:
    """Past builds, the earliest finished first.

    logs: logs of hours, in terms of this template, and `expected`: what its figures said of them
    (builds, stages); only those that are `counted` mean anything. design: see `Effects.design`.
    started, finished: day numbers. weights: builds that each counts as, whatever its age. trust:
    what each of its hours counts, less than 1 where they are far from anything expected.
    """

    builds: tuple[PastBuild, ...]
    effects: Effects
    prior: Prior
    logs: Floats
    expected: Floats
    counted: Flags
    design: Floats
    started: NDArray[np.int64]
    finished: NDArray[np.int64]
    weights: Floats
    trust: Floats

    @property
    def own(self) -> Flags:
        """Builds of this very template, not of a related one."""
        return np.array([not build.related for build in self.builds], dtype=bool)


def effects_of(
    stages: Sequence[StageFigures], builds: Sequence[Attributes], assumptions: Assumptions
) -> Effects:
    """Collect the effects of a template: its batches, its learning, every option met."""
    named = {option for build in builds for option in build.options}
    stated = {option for stage in stages for option in stage.option_hours}
    options = tuple(sorted(named | stated))
    doubts = [assumptions.batch_doubt, assumptions.learning_doubt]
    doubts += [assumptions.option_doubt] * len(options)
    return Effects(
        options=options,
        stages=tuple(stages),
        defaults=np.array([_defaults(stage, options, assumptions) for stage in stages]),
        doubts=np.broadcast_to(np.array([np.inf, *doubts]), (len(stages), len(doubts) + 1)),
        settled=assumptions.settled_number,
    )


def table_of(builds: Sequence[PastBuild], effects: Effects, prior: Prior) -> HoursTable:
    """Lay out `builds` as arrays; hours that are set aside or not recorded are not counted."""
    ordered = tuple(sorted(builds, key=lambda build: (build.finished, build.started, build.key)))
    keys = [stage.key for stage in effects.stages]
    shape = (len(ordered), len(keys))
    counted = np.array([[b.counts(key) for key in keys] for b in ordered], dtype=bool)
    counted = counted.reshape(shape)
    hours = np.array([[b.hours.get(key, 0) / b.factor for key in keys] for b in ordered])
    logs = np.log(np.where(counted, hours.reshape(shape), 1))
    design = effects.design(ordered)
    expected = prior.location + (design * effects.defaults).sum(axis=-1)
    return HoursTable(
        builds=ordered,
        effects=effects,
        prior=prior,
        logs=logs,
        expected=expected,
        counted=counted,
        design=design,
        started=np.array([build.started.toordinal() for build in ordered], dtype=np.int64),
        finished=np.array([build.finished.toordinal() for build in ordered], dtype=np.int64),
        weights=np.array([build.weight for build in ordered], dtype=float),
        trust=np.ones(shape),
    )


def _defaults(stage: StageFigures, options: Sequence[str], assumptions: Assumptions) -> list[float]:
    """Return coefficients before any build: none for the level, all of a stated saving."""
    saves = 1.0 if any(stage.batch_savings.values()) else 0.0
    added = [stage.option_hours.get(option, 0) for option in options]
    settled = max(assumptions.settled_number, 2)
    learns = float(np.log1p(assumptions.first_more) / np.log(settled))
    return [0.0, saves, learns, *(float(np.log1p(hours / stage.likely)) for hours in added)]


def _batch_log(stage: StageFigures, doublings: Floats) -> Any:
    """Return the log of what batches leave of the hours, straight between stated doublings."""
    if not any(stage.batch_savings.values()):
        return doublings * np.log(1 - USUAL_SAVING)
    stated = sorted({1: 0.0, **stage.batch_savings}.items())
    sizes = np.log2([size for size, _ in stated])
    return np.log1p(-np.interp(doublings, sizes, [saving for _, saving in stated]))
