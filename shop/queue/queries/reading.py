"""Builds read as jobs of the queue: what is left of each stage, and what is known of it."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING

from django.db.models import Sum
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.builds.queries.needs import Shortage, named_shortages, needs_of
from shop.estimates.queries.estimates import estimate_from
from shop.estimates.queries.past_builds import PastBuilds, record_of
from shop.models import (
    Build,
    BuildStage,
    BuildTemplate,
    StageWindow,
    TemplateFailure,
    ThingUse,
    TimeShare,
)
from shop.queue.calc.records import Job, Stage, Take
from shop.queue.queries.shop_now import BENCH_PLACE, settings_now

if TYPE_CHECKING:
    from shop.queue.calc.draws import BuildGuess, Failure, Guess

WAIT_SPREAD = 0.15
"""How far waiting strays from its days, as a part of it (common practice, no source)."""

LEAD_SPREAD = 0.25
"""How far a lead time strays (common practice, no source)."""

FEW_DEGREES = 6.0
"""Degrees of freedom of hours that only a person has named (common practice, no source)."""

TENTH_TO_NINTH = 2.563
"""Standard deviations between the tenth and the ninetieth of a hundred."""

FARTHEST_PLAN = math.log(1.5)
"""Planned hours that are farther from the estimate than this factor were meant: they count."""

USUAL_COMMON = 0.3
"""The part of a surprise that a build's stages share, where no estimate says (common practice, no
source)."""

LIKELY = 0.5
"""A stage that more builds skip than meet is not in the likely plan; draws meet it now and then."""

_Which = tuple[int, frozenset[str], int]
"""What an estimate differs by: the template's key, options, and how many builds at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What past builds say of a build: of each template stage, and of all of them together."""

    stages: "Mapping[str, Guess]" = field(default_factory=dict)
    common: float = USUAL_COMMON
    together: float = 0.0


class Reading:
    """Reads builds as jobs; what all of them share is read once."""

    def __init__(self, on: date, builds: Sequence[Build]) -> None:
        self.on = on
        self.notes: dict[str, str] = {}
        self.batches = Counter(build.batch_id for build in builds if build.batch_id)
        pks = [build.pk for build in builds]
        templates = {build.template_id for build in builds}
        self.worked, self.again = _worked(pks)
        self.uses: dict[int, list[ThingUse]] = defaultdict(list)
        for use in ThingUse.objects.filter(stage__template__in=templates).select_related("thing"):
            self.uses[use.stage_id].append(use)
        windows = StageWindow.objects.filter(stage__template__in=templates)
        self.windows = dict(windows.values_list("stage", "most_days"))
        self.failures: dict[int, list[TemplateFailure]] = defaultdict(list)
        failures = TemplateFailure.objects.filter(stage__template__in=templates)
        for failure in failures.prefetch_related("lost__material"):
            self.failures[failure.stage_id].append(failure)
        self.shortages = named_shortages(needs_of(builds), on)
        self.short = _parts_awaited(self.shortages, on)
        self.limit = settings_now().most_under_way
        self.records: dict[int, PastBuilds] = {}
        self.known: dict[_Which, _Known] = {}

    def of(self, build: Build) -> "tuple[Job, BuildGuess]":
        """Return what is left of a build, as the dispatcher and the draws take it."""
        from shop.queue.calc.draws import BuildGuess

        left = [stage for stage in build.stages.all() if not stage.finished_at]
        known = self._known(build)
        guesses = [self._guess(stage, known.stages) for stage in left]
        earliest, why = self._earliest(build, left)
        stages = []
        for number, (stage, guess) in enumerate(zip(left, guesses, strict=True)):
            day, reason = (earliest, why) if not number else (0, "")
            parts = 0 if stage.started_at else self.short.get(stage.pk, 0)
            if parts > day:
                day, reason = parts, "parts"
            guesses[number] = replace(
                guess,
                not_before=day,
                not_before_doubt=LEAD_SPREAD * day if reason == "parts" else 0.0,
                failures=self._failures_of(stage, left, list(build.stages.all())),
            )
            stages.append(
                Stage(
                    key=guess.key,
                    name=stage.name,
                    minutes=self._minutes_left(guess),
                    wait=guess.wait if guess.skip < LIKELY else 0,
                    most_wait=self.windows.get(stage.template_stage_id or 0),
                    after=_after(left, number),
                    takes=self._takes(stage, left, build, first=not number),
                    not_before=day,
                    blocked_by=reason,
                )
            )
        due = (build.promised_on - self.on).days if build.promised_on else None
        job = Job(key=f"{build.pk}", stages=tuple(stages), due=due, holds=self._holds(build, left))
        return job, BuildGuess(
            key=job.key,
            stages=tuple(guesses),
            common=known.common,
            pattern=f"{build.template_id or job.key}",
            together=known.together,
        )

    def _which(self, build: Build) -> "_Which":
        batch = self.batches.get(build.batch_id, 1) if build.batch_id else 1
        return build.template_id or 0, frozenset(build.options), batch

    def _known(self, build: Build) -> _Known:
        """Return what past builds say; nothing where there is no template or no likely hours."""
        if build.template is None:
            self.notes[f"{build.pk}"] = "It has no template: its own planned hours are used."
            return _Known()
        which = self._which(build)
        if which not in self.known:
            self.known[which] = self._estimate(build.template, which)
        if not self.known[which].stages:
            self.notes[f"{build.pk}"] = (
                "Its template has no likely hours: its own planned hours are used."
            )
        return self.known[which]

    def _estimate(self, template: BuildTemplate, which: _Which) -> _Known:
        from shop.queue.calc.draws import Guess

        _, options, batch = which
        if template.pk not in self.records:
            self.records[template.pk] = record_of(template)
        try:
            found = estimate_from(
                self.records[template.pk], on=self.on, batch=batch, options=options
            )
        except Refusal:
            return _Known()
        stages = {
            one.key: Guess(
                key=one.key,
                centre=one.centre,
                scale=one.scale,
                degrees=one.degrees,
                skip=1 - one.chance,
            )
            for one in found.stages
        }
        return _Known(stages=stages, common=found.common_share, together=found.together)

    def _guess(self, stage: BuildStage, known: "Mapping[str, Guess]") -> "Guess":
        from shop.queue.calc.draws import Guess

        planned = max(float(stage.hours_planned), 0.05)
        guess = known.get(f"{stage.template_stage_id}")
        if guess is None:
            low, high = float(stage.hours_low), float(stage.hours_high)
            spread = math.log(high / low) / TENTH_TO_NINTH if 0 < low < high else 0.3
            guess = Guess(key="", centre=math.log(planned), scale=spread, degrees=FEW_DEGREES)
        elif abs(math.log(planned) - guess.centre) > FARTHEST_PLAN:
            guess = replace(guess, centre=math.log(planned))
        return replace(
            guess,
            key=f"{stage.pk}",
            skip=0.0 if stage.started_at else guess.skip,
            worked=self.again.get(stage.pk) or self.worked.get(stage.pk, 0.0),
            wait=math.ceil(stage.waiting_days),
            wait_spread=WAIT_SPREAD,
        )

    def _minutes_left(self, guess: "Guess") -> float:
        """Return the likely minutes left; what took its time already takes a tenth more."""
        if guess.skip >= LIKELY:
            return 0.0
        hours = math.exp(guess.centre)
        return 60 * max(hours - guess.worked, 0.1 * hours)

    def _earliest(self, build: Build, left: Sequence[BuildStage]) -> tuple[int, str]:
        """Return the first day of the next stage: waiting that goes on, or what the maker noted.

        Once a stage is begun, whatever it had to wait for is over.
        """
        is_begun = bool(left) and left[0].started_at is not None
        done = [stage for stage in build.stages.all() if stage.finished_at and not is_begun]
        days = [
            (timezone.localtime(stage.finished_at).date() - self.on).days
            + math.ceil(stage.waiting_days)
            for stage in done
            if stage.finished_at
        ]
        first, why = max([0, *days]), "glue, coats and cure"
        place = getattr(build, "queue_place", None)
        if place and place.not_before and (place.not_before - self.on).days > first:
            first, why = (place.not_before - self.on).days, place.waits_for or "what was noted"
        return first, why if first else ""

    def _takes(
        self, stage: BuildStage, left: Sequence[BuildStage], build: Build, *, first: bool
    ) -> tuple[Take, ...]:
        if stage.started_at:
            return ()
        takes = [
            Take(
                thing=use.thing.name,
                units=use.units,
                until=_until(use, stage, left),
                through_wait=use.through_wait,
            )
            for use in self.uses.get(stage.template_stage_id or 0, [])
        ]
        if self.limit and first and not build.started_on:
            takes.append(Take(thing=BENCH_PLACE, until=f"{left[-1].pk}", through_wait=False))
        return tuple(takes)

    def _holds(self, build: Build, left: Sequence[BuildStage]) -> tuple[Take, ...]:
        """Return what the build has now: things of begun stages whose last stage is not done."""
        holds = []
        open_keys = {stage.template_stage_id: f"{stage.pk}" for stage in left}
        for stage in build.stages.all():
            for use in self.uses.get(stage.template_stage_id or 0, []):
                until = open_keys.get(use.until_id or use.stage_id)
                if until and (stage.started_at or stage.finished_at):
                    holds.append(
                        Take(
                            thing=use.thing.name,
                            units=use.units,
                            until=until,
                            through_wait=use.through_wait,
                        )
                    )
        if self.limit and build.started_on and left:
            holds.append(Take(thing=BENCH_PLACE, until=f"{left[-1].pk}", through_wait=False))
        return tuple(holds)

    def _failures_of(
        self, stage: BuildStage, left: Sequence[BuildStage], stages: Sequence[BuildStage]
    ) -> "tuple[Failure, ...]":
        from shop.queue.calc.draws import Failure

        found = []
        for failure in self.failures.get(stage.template_stage_id or 0, []):
            own = [one for one in stages if one.template_stage_id == failure.redo_from_id]
            first = own[0].position if failure.redo_from_id and own else stage.position
            redone = [one for one in stages if first <= one.position <= stage.position]
            hours = None if failure.hours is None else float(failure.hours)
            if hours is None and any(one.finished_at for one in redone):
                hours = float(sum(one.hours_planned for one in redone))
            places = {one.pk: place for place, one in enumerate(left)}
            lead = [
                line.material.lead_time or 0
                for line in failure.lost.all()
                if line.material and line.material.free <= 0
            ]
            found.append(
                Failure(
                    one_in=failure.one_in,
                    hours=hours,
                    redo=() if hours is not None else tuple(places[one.pk] for one in redone),
                    days=sum(math.ceil(one.waiting_days) for one in redone[:-1])
                    + max(lead, default=0),
                )
            )
        return tuple(found)


def _after(left: Sequence[BuildStage], number: int) -> tuple[str, ...]:
    """Return the keys of stages that come before one: none once it is begun, else the one before,
    and with it those begun out of their turn."""
    if not number or left[number].started_at:
        return ()
    found = []
    for stage in reversed(left[:number]):
        found.append(f"{stage.pk}")
        if not stage.started_at:
            break
    return tuple(found)


def _until(use: ThingUse, stage: BuildStage, left: Iterable[BuildStage]) -> str:
    later = [one for one in left if one.template_stage_id == use.until_id]
    return f"{later[0].pk}" if use.until_id and later else f"{stage.pk}"


def _worked(builds: Sequence[int]) -> tuple[dict[int, float], dict[int, float]]:
    """Return stage → hours worked on it, and hours of making again."""
    rows = (
        TimeShare.objects.filter(build__in=builds, stage__finished_at=None, stage__isnull=False)
        .order_by()
        .values_list("stage", "entry__is_remake")
        .annotate(seconds=Sum("seconds"))
    )
    worked: dict[int, float] = {}
    again: dict[int, float] = {}
    for stage, is_remake, seconds in rows:
        (again if is_remake else worked)[stage] = (seconds or 0) / 3600
    return worked, again


def _parts_awaited(shortages: Iterable[Shortage], on: date) -> dict[int, int]:
    """Return stage → the day on which what it lacks can be here, if it is ordered today."""
    found: dict[int, int] = {}
    for shortage in shortages:
        stage = shortage.line.stage_id
        if stage and shortage.here_by and shortage.free < shortage.missing:
            found[stage] = max(found.get(stage, 0), (shortage.here_by - on).days)
    return found
