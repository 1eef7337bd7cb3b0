"""Hours: of a build by stage, of a day and of a week, adding up to what was recorded."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet, Sum
from django.utils import timezone

from shop.hours.calc.durations import billable_share, minutes_of
from shop.hours.calc.repair import LONGEST_DAY, Gap, Overlap, Span, idle_gaps, overlaps
from shop.hours.queries.clock import in_full
from shop.hours.queries.sums import kept_as_written, read_stages, seconds_by_stage
from shop.models import FINISHED_STATES, Build, BuildHours, BuildStage, TimeEntry, TimeShare


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedStage:
    """Planned and worked time of one stage; without a stage it is work on the build at large.

    `redone_minutes` are those of `minutes` that went into making something again.
    """

    stage: BuildStage | None
    planned_minutes: Decimal
    minutes: Decimal
    redone_minutes: Decimal = Decimal(0)

    @property
    def over_minutes(self) -> Decimal:
        return self.minutes - self.planned_minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildTime:
    """What one build got in a stretch of days."""

    build: Build
    minutes: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedHours:
    """What was recorded from `first` to `last`; times in minutes.

    The builds' minutes add up to what was worked on builds; `elsewhere` is the rest.
    """

    first: date
    last: date
    entries: list[TimeEntry]
    minutes: Decimal
    billable_minutes: Decimal
    builds: list[BuildTime]
    reasons: list[tuple[str, Decimal]]
    overlaps: list[Overlap] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)

    @property
    def too_long(self) -> list[tuple[str, Decimal]]:
        """Return who recorded more in these days than anybody works, and how many minutes."""
        seconds: dict[str, int] = defaultdict(int)
        for entry in self.entries:
            seconds[entry.person.get_full_name() or entry.person.get_username()] += (
                entry.seconds or 0
            )
        days = (self.last - self.first).days + 1
        return [
            (name, minutes_of(sum_)) for name, sum_ in seconds.items() if sum_ > days * LONGEST_DAY
        ]

    @property
    def billable_share(self) -> Decimal | None:
        return billable_share(int(self.billable_minutes * 60), int(self.minutes * 60))

    @property
    def billable_percent(self) -> Decimal | None:
        share = self.billable_share
        return None if share is None else share * 100


def hours_by_stage(build: Build) -> list[RecordedStage]:
    """Return every stage of `build` with its time, then what belongs to none."""
    sums = (
        TimeShare.objects.filter(build=build, entry__seconds__isnull=False)
        .order_by()
        .values_list("stage")
        .annotate(
            worked=Sum("seconds"),
            redone=Sum("seconds", filter=Q(entry__is_remake=True), default=0),
        )
    )
    worked = {stage: (seconds, redone) for stage, seconds, redone in sums}
    rows: list[RecordedStage] = [
        RecordedStage(
            stage=stage,
            planned_minutes=stage.hours_planned * 60,
            minutes=minutes_of(worked.get(stage.pk, (0, 0))[0]),
            redone_minutes=minutes_of(worked.get(stage.pk, (0, 0))[1]),
        )
        for stage in build.stages.all()
    ]
    if loose := worked.get(None):
        seconds, redone = map(minutes_of, loose)
        rows.append(
            RecordedStage(
                stage=None, planned_minutes=Decimal(0), minutes=seconds, redone_minutes=redone
            )
        )
    return rows


def first_hours_before(build: Build) -> dict[str, list[Decimal]]:
    """Return the minutes of each stage, by name, on finished builds of the same template.

    The latest first, without hours of making again and without what the maker set aside. Two
    queries: of what is kept, and of builds of which nothing is kept yet.
    """
    if build.template_id is None:
        return {}
    others = Build.objects.filter(
        template=build.template_id, state__in=FINISHED_STATES, is_set_aside=False
    ).exclude(pk=build.pk)
    sums = read_stages(kept_as_written(BuildHours.objects.filter(build__in=others)))
    sums |= seconds_by_stage(
        TimeShare.objects.filter(build__in=others, build__kept_hours__isnull=True)
    )
    found: dict[str, list[Decimal]] = defaultdict(list)
    for _, stages in sorted(sums.items(), reverse=True):
        seconds: dict[str, int] = defaultdict(int)
        for _, _, name, is_set_aside, spent in stages:
            if name is not None and not is_set_aside:
                seconds[name] += spent
        for name, spent in seconds.items():
            found[name].append(minutes_of(spent))
    return dict(found)


def minutes_by_build(builds: Iterable[Build]) -> dict[int, Decimal]:
    """Return the minutes worked on each of `builds`, in one query."""
    sums = (
        TimeShare.objects.filter(build__in=[build.pk for build in builds])
        .order_by()
        .values_list("build")
        .annotate(Sum("seconds"))
    )
    return {pk: minutes_of(seconds) for pk, seconds in sums}


def day_record(day: date, person: Any = None) -> RecordedHours:
    """Return what was recorded on `day`, by `person` or by everybody, earliest first."""
    entries = list(_entries(day, day, person).order_by("started_at", "pk"))
    spans = [
        _span(entry, entry.started_at, entry.stopped_at)
        for entry in entries
        if entry.started_at and entry.stopped_at and not entry.within_id
    ]
    by_person: dict[str, list[Span]] = defaultdict(list)
    for span in spans:
        by_person[span.person].append(span)
    gaps = [gap for own in by_person.values() for gap in idle_gaps(own)]
    return _record(day, day, entries, overlaps(spans), gaps)


def span_record(first: date, last: date, person: Any = None) -> RecordedHours:
    """Return what was recorded from `first` to `last`, both days included."""
    return _record(first, last, list(_entries(first, last, person).order_by("day", "started_at")))


def monday_of(day: date) -> date:
    """Return the Monday of the week that `day` is in."""
    return day - timedelta(days=day.weekday())


def days_of(record: RecordedHours) -> list[tuple[date, Decimal, Decimal]]:
    """Return each day of `record` with its minutes, and those that can be billed."""
    all_of: dict[date, Decimal] = defaultdict(Decimal)
    billable: dict[date, Decimal] = defaultdict(Decimal)
    for entry in record.entries:
        minutes = minutes_of(entry.seconds or 0)
        all_of[entry.day] += minutes
        billable[entry.day] += minutes if entry.is_billable else 0
    count = (record.last - record.first).days + 1
    days = [record.first + timedelta(days=number) for number in range(count)]
    return [(day, all_of[day], billable[day]) for day in days]


def _entries(first: date, last: date, person: Any) -> QuerySet[TimeEntry]:
    rows = in_full(TimeEntry.objects.filter(day__range=(first, last)).exclude(seconds=0))
    return rows.filter(person=person) if person else rows


def _span(entry: TimeEntry, start: datetime, end: datetime) -> Span:
    return Span(
        key=str(entry.pk),
        start=timezone.localtime(start),
        end=timezone.localtime(end),
        person=str(entry.person_id),
    )


def _record(
    first: date,
    last: date,
    entries: Sequence[TimeEntry],
    found: Sequence[Overlap] = (),
    gaps: Sequence[Gap] = (),
) -> RecordedHours:
    worked = [entry for entry in entries if entry.seconds is not None]
    return RecordedHours(
        first=first,
        last=last,
        entries=list(entries),
        minutes=minutes_of(sum(entry.seconds or 0 for entry in worked)),
        billable_minutes=minutes_of(
            sum(entry.seconds or 0 for entry in worked if entry.is_billable)
        ),
        builds=_by_build(worked),
        reasons=_by_reason(worked),
        overlaps=list(found),
        gaps=list(gaps),
    )


def _by_build(entries: Iterable[TimeEntry]) -> list[BuildTime]:
    seconds: dict[Build, int] = defaultdict(int)
    for entry in entries:
        for share in entry.shares.all():
            seconds[share.build] += share.seconds
    rows = [BuildTime(build=build, minutes=minutes_of(part)) for build, part in seconds.items()]
    return sorted(rows, key=lambda row: row.build.serial)


def _by_reason(entries: Iterable[TimeEntry]) -> list[tuple[str, Decimal]]:
    seconds: dict[str, int] = defaultdict(int)
    for entry in entries:
        if not entry.is_billable:
            seconds[entry.reason] += entry.seconds or 0
    return sorted((reason, minutes_of(part)) for reason, part in seconds.items())
