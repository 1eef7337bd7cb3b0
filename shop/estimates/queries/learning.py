"""Hours by number in the pattern, and the learning curve through them."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from shop.estimates.calc.learning import LearningCurve, Model, fit_learning
from shop.estimates.calc.records import PastBuild
from shop.estimates.queries.past_builds import PastBuilds
from shop.models import Build, TemplateStage

MOST_RECORDED = 0.9
"""A build is taken as whole when stages with so much of the likely hours were recorded."""

TOO_FEW = "A curve needs at least four builds with different numbers."


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """One build of the pattern. why_not: why it is not counted, or nothing."""

    build: Build
    number: int
    hours: float
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """Builds by number in the pattern, and the curve through those that count.

    There is none while learning can't be told from chance; `words` say so.
    """

    builds: tuple[Numbered, ...]
    curve: LearningCurve | None
    words: str


def learning_of(
    record: PastBuilds, stage: TemplateStage | None = None, model: Model = "unit"
) -> Learning:
    """Return the hours of own builds by number: of one stage, or of all that are always on."""
    stages = [stage] if stage else [one for one in record.stages if one.option is None]
    likely = {f"{one.pk}": float(one.hours_likely) for one in stages}
    rows = [
        Numbered(
            build=record.rows[past.key],
            number=past.number or 1,
            hours=sum(past.hours.get(key, 0) for key in likely),
            why_not=_why_not(past, likely),
        )
        for past in record.own_builds
        if any(past.hours.get(key, 0) for key in likely)
    ]
    counted = [(row.number, row.hours) for row in rows if not row.why_not]
    fitted = fit_learning(counted, model)
    return Learning(
        builds=tuple(sorted(rows, key=lambda row: (row.number, row.build.pk))),
        curve=fitted if fitted and fitted.is_told else None,
        words=fitted.words() if fitted else TOO_FEW,
    )


def _why_not(past: PastBuild, likely: Mapping[str, float]) -> str:
    if past.set_aside or past.stages_set_aside & set(likely):
        return "left out"
    return "" if _part(past, likely) >= MOST_RECORDED else "only partly recorded"


def _part(past: PastBuild, likely: Mapping[str, float]) -> float:
    return _sum(likely, [key for key in likely if past.counts(key)]) / _sum(likely, likely)


def _sum(likely: Mapping[str, float], keys: Collection[str]) -> float:
    return sum(likely[key] for key in keys)
