"""What a typed line may name: open builds, their stages, reasons that can't be billed, people."""

from collections.abc import Iterable
from typing import Any

from django.contrib.auth import get_user_model
from django.db.models import Max, QuerySet

from shop.hours.calc.catch_up import CatchUp, KnownNames
from shop.hours.calc.catch_up_names import Known
from shop.hours.queries.work import Work
from shop.models import OPEN_STATES, Build, BuildStage, TimeEntry

USUAL_REASONS = ("clean-up", "enquiry", "bookkeeping", "buying", "tool care", "practice", "break")
MOST_REASONS = 20


def bench_words() -> KnownNames:
    """Return what a line may name today, in four queries."""
    builds = list(Build.objects.filter(state__in=OPEN_STATES).select_related("batch"))
    people = get_user_model().objects.filter(is_active=True)
    return KnownNames(
        builds=[_known_build(build) for build in builds],
        stages=_known_stages(),
        reasons=[Known(key=reason, name=reason) for reason in reasons_in_use()],
        people=[_known_person(person) for person in people],
    )


def open_stage_names() -> list[str]:
    """Return the names of the stages of open builds, in the order of the work."""
    return list(dict.fromkeys(_open_stages().values_list("name", flat=True)))


def _open_stages() -> QuerySet[BuildStage]:
    return BuildStage.objects.filter(build__state__in=OPEN_STATES).order_by("position", "pk")


def reasons_in_use() -> list[str]:
    """Return why time could not be billed: what was written, the latest first, then the usual."""
    written = (
        TimeEntry.objects.filter(is_billable=False, seconds__gt=0)
        .exclude(reason="")
        .order_by()
        .values_list("reason")
        .annotate(last=Max("recorded_at"))
        .order_by("-last")
    )
    reasons = [reason for reason, _ in written[:MOST_REASONS]]
    return list(dict.fromkeys([*reasons, *USUAL_REASONS]))


def work_meant(caught: CatchUp) -> list[Work]:
    """Return the builds of `caught`, each with its own stage of that name if it has one."""
    builds = Build.objects.filter(pk__in=caught.builds).prefetch_related("stages")
    by_key = {str(build.pk): build for build in builds}
    return work_on([by_key[key] for key in caught.builds], caught.stage)


def work_on(builds: Iterable[Build], stage: str | None) -> list[Work]:
    """Return work on the stage of that name of each build, or on the build where it has none."""
    return [Work(build=build, stage=_stage_named(build.stages.all(), stage)) for build in builds]


def _stage_named(stages: Iterable[BuildStage], name: str | None) -> BuildStage | None:
    return next((stage for stage in stages if stage.name == name), None)


def _known_stages() -> list[Known]:
    builds: dict[str, set[str]] = {}
    for name, build in _open_stages().values_list("name", "build"):
        builds.setdefault(name, set()).add(str(build))
    return [Known(key=name, name=name, builds=frozenset(of)) for name, of in builds.items()]


def _known_build(build: Build) -> Known:
    return Known(
        key=str(build.pk),
        name=build.title,
        aliases=(build.serial,),
        batch=build.batch.name if build.batch else "",
    )


def _known_person(person: Any) -> Known:
    return Known(
        key=str(person.pk),
        name=person.get_full_name() or person.username,
        aliases=(person.username,),
    )
