"""What the queue is worked out from, read from the books."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from django.db.models import Prefetch, Sum
from django.utils import timezone

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.builds.queries.needs import named_shortages, needs_of
from shop.calendar.queries import open_days
from shop.estimates.queries.estimates import estimate_from
from shop.estimates.queries.past_builds import PastBuilds, record_of
from shop.models import (
    OPEN_STATES,
    Build,
    BuildStage,
    OtherHands,
    QueuePlace,
    QueueSettings,
    ShopThing,
    StageWindow,
    TemplateFailure,
    ThingUse,
    TimeShare,
)
from shop.queue.calc.records import Job, Shop, Stage, Take

if TYPE_CHECKING:
    from shop.queue.calc.draws import BuildGuess, Failure, Guess, ShopGuess

CALENDAR_DAYS = 3 * 365
NOT_IN_A_BOOK = -1
BENCH_PLACE = "place on the bench"
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

SHOP_DOUBT = 0.10
"""How far all hours of the shop may be off together; see `ShopGuess`."""

USUAL_SHARE, USUAL_WEEKS, LEARNING_WEEKS = 0.9, 6, 12
"""Share of bench hours for builds until the clock tells, worth so many weeks of it (common
practice, no source); and how many weeks back the clock is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueBooks:
    """Everything that the queue is worked out from, as of the day `on`; builds in their order.

    notes: of a build's key, what has to be said of its figures.
    """

    on: date
    builds: tuple[Build, ...]
    jobs: tuple[Job, ...]
    guesses: "tuple[BuildGuess, ...]"
    shop: Shop
    shared: "ShopGuess"
    notes: Mapping[str, str]

    def in_order(self, keys: Sequence[str]) -> "QueueBooks":
        """Return the books with builds in the order of `keys`; those not named are left out."""
        at = {job.key: place for place, job in enumerate(self.jobs)}
        places = [at[key] for key in keys if key in at]
        return replace(
            self,
            builds=tuple(self.builds[place] for place in places if place < len(self.builds)),
            jobs=tuple(self.jobs[place] for place in places),
            guesses=tuple(self.guesses[place] for place in places),
        )


def queued_builds() -> list[Build]:
    """Return open builds in their order: where the maker moved them, else by the day entered."""
    rows = (
        Build.objects.filter(state__in=OPEN_STATES)
        .select_related("template", "batch", "queue_place")
        .prefetch_related(Prefetch("stages", BuildStage.objects.order_by("position", "pk")))
    )
    return sorted(rows, key=_place)


def queue_books(on: date) -> QueueBooks:
    """Read the queue as of the day `on`: about 20 queries, and eight for each pattern in it."""
    builds = queued_builds()
    reading = _Reading(on, builds)
    rows = [(build, reading.of(build)) for build in builds]
    rows = [(build, found) for build, found in rows if found[0].stages]
    return QueueBooks(
        on=on,
        builds=tuple(build for build, _ in rows),
        jobs=tuple(found[0] for _, found in rows),
        guesses=tuple(found[1] for _, found in rows),
        shop=shop_now(on),
        shared=shared_doubts(on),
        notes=reading.notes,
    )


def read_build(build: Build, stages: Sequence[BuildStage], on: date) -> "tuple[Job, BuildGuess]":
    """Read a build that is in no book yet, as the queue would read it once it is."""
    build.pk = NOT_IN_A_BOOK
    for number, stage in enumerate(stages, start=1):
        stage.pk = -number
    build._prefetched_objects_cache = {"stages": list(stages)}  # type: ignore[attr-defined]
    return _Reading(on, [build]).of(build)


def shop_now(on: date) -> Shop:
    """Return hands and things: the working week and others' weeks, days off taken out."""
    days = open_days(on)
    settings = settings_now()
    dates = [on + timedelta(days=number) for number in range(CALENDAR_DAYS)]
    closed = set(days.closed)
    if settings.public_holidays:
        closed |= public_holidays(dates[0].year, dates[-1].year)
    weeks = [[float(minutes) for minutes in days.week]]
    weeks += [[float(each) * 60 for each in other.hours] for other in OtherHands.objects.all()]
    hands = [[0.0 if day in closed else week[day.weekday()] for day in dates] for week in weeks]
    things = {thing.name: thing.count for thing in ShopThing.objects.all()}
    most = settings.most_under_way
    if most:
        things[BENCH_PLACE] = most
    return Shop(hands=hands, things=things)


def public_holidays(first: int, last: int) -> set[date]:
    """Return the public holidays of the workshop's country in years; none where it is not said."""
    country = Workshop.objects.values_list("country", flat=True).first() or ""
    return _holidays_of(country, first, last) if country else set()


@cache
def _holidays_of(country: str, first: int, last: int) -> set[date]:
    import holidays

    if country not in holidays.list_supported_countries():
        return set()
    return set(holidays.country_holidays(country, years=range(first, last + 1)))


def settings_now() -> QueueSettings:
    """Return what the queue takes for granted in this workshop."""
    return QueueSettings.objects.first() or QueueSettings(pk=1)


def shared_doubts(on: date) -> "ShopGuess":
    """Return what all builds share; the share of hours is learned from the clock unless given."""
    from shop.queue.calc.draws import ShopGuess

    settings = settings_now()
    weeks = _weekly_shares(on)
    share = (USUAL_SHARE * USUAL_WEEKS + sum(weeks)) / (USUAL_WEEKS + len(weeks))
    if settings.build_share is not None:
        share = float(settings.build_share)
    return ShopGuess(
        doubt=SHOP_DOUBT,
        share=min(max(share, 0.05), 1.0),
        share_doubt=0.2 / math.sqrt(USUAL_WEEKS + len(weeks)),
        lost=float(settings.lost_share),
    )


def _weekly_shares(on: date) -> list[float]:
    """Return of each full week with clocked work the part of its open hours that builds got."""
    monday = on - timedelta(days=on.weekday())
    first = monday - timedelta(weeks=LEARNING_WEEKS)
    rows = (
        TimeShare.objects.filter(entry__day__gte=first, entry__day__lt=monday)
        .order_by()
        .values_list("entry__day")
        .annotate(seconds=Sum("seconds"))
    )
    worked: dict[date, float] = defaultdict(float)
    for day, seconds in rows:
        worked[day - timedelta(days=day.weekday())] += seconds / 60
    if not worked:
        return []
    days = open_days(first)
    found = []
    for week, minutes in worked.items():
        there = sum(days.minutes_on(week + timedelta(days=number)) for number in range(7))
        if there:
            found.append(min(minutes / there, 1.0))
    return found


class _Reading:
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
        self.short = _parts_awaited(builds, on)
        self.limit = settings_now().most_under_way
        self.records: dict[int, PastBuilds] = {}
        self.estimates: dict[tuple[int, frozenset[str], int], Mapping[str, Guess]] = {}
        self.commons: dict[tuple[int, frozenset[str], int], float] = {}

    def of(self, build: Build) -> "tuple[Job, BuildGuess]":
        """Return what is left of a build, as the dispatcher and the draws take it."""
        from shop.queue.calc.draws import BuildGuess

        left = [stage for stage in build.stages.all() if not stage.finished_at]
        known = self._estimate(build)
        guesses = [self._guess(stage, known) for stage in left]
        earliest, why = self._earliest(build)
        stages = []
        for number, (stage, guess) in enumerate(zip(left, guesses, strict=True)):
            day, reason = (earliest, why) if not number else (0, "")
            parts = self.short.get(stage.pk, 0)
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
                    wait=guess.wait,
                    most_wait=self.windows.get(stage.template_stage_id or 0),
                    after=(f"{left[number - 1].pk}",) if number else (),
                    takes=self._takes(stage, left, build, first=not number),
                    not_before=day,
                    blocked_by=reason,
                )
            )
        due = (build.promised_on - self.on).days if build.promised_on else None
        job = Job(key=f"{build.pk}", stages=tuple(stages), due=due, holds=self._holds(build, left))
        common = self.commons.get(self._which(build), 0.3)
        return job, BuildGuess(key=job.key, stages=tuple(guesses), common=common)

    def _which(self, build: Build) -> tuple[int, frozenset[str], int]:
        batch = self.batches.get(build.batch_id, 1) if build.batch_id else 1
        return build.template_id or 0, frozenset(build.options), batch

    def _estimate(self, build: Build) -> "Mapping[str, Guess]":
        """Return template stage → what past builds say of it; empty where nothing is said."""
        from shop.queue.calc.draws import Guess

        which = self._which(build)
        if build.template is None:
            self.notes[f"{build.pk}"] = "It has no template: its own planned hours are used."
            return {}
        if which not in self.estimates:
            record = self.records.setdefault(which[0], None) or record_of(build.template)  # type: ignore[arg-type]
            self.records[which[0]] = record
            try:
                found = estimate_from(record, on=self.on, batch=which[2], options=which[1])
            except Refusal:
                self.estimates[which] = {}
            else:
                self.commons[which] = found.common_share
                self.estimates[which] = {
                    one.key: Guess(
                        key=one.key, centre=one.centre, scale=one.scale, degrees=one.degrees
                    )
                    for one in found.stages
                }
        if not self.estimates[which]:
            self.notes[f"{build.pk}"] = (
                "Its template has no likely hours: its own planned hours are used."
            )
        return self.estimates[which]

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
            worked=self.again.get(stage.pk) or self.worked.get(stage.pk, 0.0),
            wait=math.ceil(stage.waiting_days),
            wait_spread=WAIT_SPREAD,
        )

    def _minutes_left(self, guess: "Guess") -> float:
        """Return the likely minutes left; what took its time already takes a tenth more."""
        hours = math.exp(guess.centre)
        return 60 * max(hours - guess.worked, 0.1 * hours)

    def _earliest(self, build: Build) -> tuple[int, str]:
        """Return the first day of the next stage: waiting that goes on, or what the maker noted."""
        done = [stage for stage in build.stages.all() if stage.finished_at]
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


def _until(use: ThingUse, stage: BuildStage, left: Iterable[BuildStage]) -> str:
    later = [one for one in left if one.template_stage_id == use.until_id]
    return f"{later[0].pk}" if use.until_id and later else f"{stage.pk}"


def _place(build: Build) -> tuple[float, date, int]:
    place: QueuePlace | None = getattr(build, "queue_place", None)
    moved = place.position if place and place.position is not None else math.inf
    return moved, build.made_on, build.pk


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


def _parts_awaited(builds: Sequence[Build], on: date) -> dict[int, int]:
    """Return stage → the day on which what it lacks can be here, if it is ordered today."""
    found: dict[int, int] = {}
    for shortage in named_shortages(needs_of(builds), on):
        stage = shortage.line.stage_id
        if stage and shortage.here_by and shortage.free < shortage.missing:
            found[stage] = max(found.get(stage, 0), (shortage.here_by - on).days)
    return found
