"""What a typed line may name: open builds, their stages, reasons, people."""

from django.contrib.auth.models import User

from shop.calc.catchup import Bench
from shop.calc.catchup_names import Known
from shop.models import Build, BuildStage, TimeEntry
from shop.queries.today import OPEN_STATES, open_builds
from shop.sharing import Work

USUAL_REASONS = (
    "clean-up",
    "enquiry",
    "messages",
    "tool care",
    "jigs",
    "stock",
    "books",
    "repair",
    "warranty",
)


def reasons() -> list[str]:
    """Return why hours could not be billed: what was given before, then the usual ones."""
    given = TimeEntry.objects.exclude(reason="").order_by("reason")
    before = given.values_list("reason", flat=True).distinct()
    return list(dict.fromkeys([*before, *USUAL_REASONS]))


def stage_names() -> list[str]:
    """Return the names of the stages of open builds, in the order of the work."""
    rows = BuildStage.objects.filter(build__state__in=OPEN_STATES).order_by("position", "pk")
    return list(dict.fromkeys(rows.values_list("name", flat=True)))


def bench_words() -> Bench:
    """Return what may be named; keys are those of builds, names of stages, reasons, user keys."""
    people = User.objects.filter(is_active=True)
    return Bench(
        builds=[_build(build) for build in open_builds()],
        stages=[Known(key=name, name=name) for name in stage_names()],
        reasons=[Known(key=reason, name=reason) for reason in reasons()],
        people=[
            Known(key=str(one.pk), name=one.username, aliases=(one.first_name,)) for one in people
        ],
    )


def work_on(builds: list[Build], stage_name: str) -> list[Work]:
    """Return the work on the stage of that name of each build, or on the build at large."""
    stages = BuildStage.objects.filter(build__in=builds, name=stage_name) if stage_name else []
    stage_of = {stage.build_id: stage for stage in stages}
    return [Work(build=build, stage=stage_of.get(build.pk)) for build in builds]


def _build(build: Build) -> Known:
    return Known(
        key=str(build.pk),
        name=build.serial,
        aliases=(build.title, str(build)),
        batch=build.batch.name if build.batch else "",
    )
