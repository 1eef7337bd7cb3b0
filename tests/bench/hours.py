"""Hours: past builds read from the database, an estimate and a back-test, over 500 and 5,000."""

from datetime import UTC, date, datetime
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import connection

from shop.estimates.calc.backtest import backtest
from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.records import EstimateRequest
from shop.estimates.queries.past_builds import record_of
from shop.models import (
    Batch,
    Build,
    BuildStage,
    BuildState,
    BuildTemplate,
    TemplateStage,
    TimeEntry,
    TimeShare,
)
from tests.bench.timing import Row, median_of, medians_of
from tests.shop.estimates.shops import Truth, make_shop

FEW, MANY = 500, 5000
RUNS, WARM_UPS = 3, 1
GROWTH = 1.2
BUSY = Truth(batches=(1, 1, 2, 4), learning=0.1, days_between=2)
WANTED = EstimateRequest(on=date(2040, 1, 1), batch=2)
NOW = datetime(2030, 1, 1, tzinfo=UTC)
CHUNK = 2000
BARE_SUMS = """
    SELECT share.build_id, stage.template_stage_id, SUM(share.seconds)
    FROM shop_timeshare AS share
    JOIN shop_build AS build ON build.id = share.build_id
    JOIN shop_buildstage AS stage ON stage.id = share.stage_id
    WHERE build.template_id = %s
    GROUP BY share.build_id, stage.template_stage_id
"""


def bench() -> list[Row]:
    few, many = make_shop(1, FEW, BUSY), make_shop(1, MANY, BUSY)
    small, large = enter_shop(*few, "Few"), enter_shop(*many, "Many")
    return [
        *_grown("an estimate", lambda shop: estimate_hours(*shop, WANTED), few, many),
        *_grown("a back-test", lambda shop: backtest(*shop), few, many),
        *_grown("the record read", record_of, small, large),
        _beside_sql(large),
    ]


def enter_shop(figures, past, name) -> BuildTemplate:
    """Enter an invented shop in the books: a template, its builds, an entry for each stage."""
    person = User.objects.get_or_create(username="bram")[0]
    template = BuildTemplate.objects.create(name=name)
    stages = TemplateStage.objects.bulk_create(
        TemplateStage(
            template=template,
            position=place,
            name=one.key,
            hours_low=Decimal(f"{one.low:.2f}"),
            hours_likely=Decimal(f"{one.likely:.2f}"),
            hours_high=Decimal(f"{one.high:.2f}"),
        )
        for place, one in enumerate(figures)
    )
    builds = Build.objects.bulk_create(_builds(template, past, name), CHUNK)
    own = BuildStage.objects.bulk_create(
        (
            BuildStage(
                build=build, template_stage=stage, position=0, name=stage.name, hours_planned=0
            )
            for build in builds
            for stage in stages
        ),
        CHUNK,
    )
    seconds = [round(one.hours[stage.name] * 3600) for one in past for stage in stages]
    entries = TimeEntry.objects.bulk_create(
        (
            TimeEntry(person=person, day=one.build.finished_on, seconds=spent, recorded_at=NOW)
            for one, spent in zip(own, seconds, strict=True)
        ),
        CHUNK,
    )
    TimeShare.objects.bulk_create(
        (
            TimeShare(entry=entry, build=one.build, stage=one, seconds=entry.seconds)
            for one, entry in zip(own, entries, strict=True)
        ),
        CHUNK,
    )
    return template


def _builds(template, past, name):
    batch, left = None, 0
    for number, one in enumerate(past):
        if not left and one.batch > 1:
            batch, left = Batch.objects.create(name=f"{name} {number}"), one.batch
        yield Build(
            serial=f"{name}-{number}",
            title=name,
            template=template,
            batch=batch if left else None,
            state=BuildState.CLOSED,
            made_on=one.started,
            started_on=one.started,
            finished_on=one.finished,
        )
        left = max(left - 1, 0)


def _beside_sql(template):
    def bare():
        with connection.cursor() as cursor:
            return cursor.execute(BARE_SUMS, [template.pk]).fetchall()

    ours, sql = medians_of(lambda: record_of(template), bare, RUNS, WARM_UPS)
    return Row(
        what=f"the record read from {MANY} builds",
        seconds=ours,
        against="the sums alone, in plain SQL",
        bare=sql,
    )


def _grown(what, act, few, many):
    quick = median_of(lambda: act(few), RUNS, WARM_UPS)
    slow = median_of(lambda: act(many), RUNS, WARM_UPS)
    return [
        Row(what=f"{what} from {FEW} builds", seconds=quick),
        Row(
            what=f"{what} from {MANY} builds",
            seconds=slow,
            against=f"{MANY // FEW} times that from {FEW}: growth in a straight line",
            bare=quick * MANY / FEW,
            wanted=GROWTH,
        ),
    ]
