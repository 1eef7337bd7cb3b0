"""Load builds from old sheets, and take a load back."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.builds.services.enter import PlannedStage, enter_build
from shop.hours.bookkeeping import keep_hours
from shop.models import (
    Batch,
    Build,
    BuildState,
    BuildTemplate,
    OldSheet,
    StageAlias,
    TemplateStage,
    TimeEntry,
    TimeShare,
)
from shop.past_sheets.calc.records import OldBuild, Reading, StageUse
from shop.past_sheets.queries import SERIAL_LETTERS, in_books

NOON = time(12)
TITLE_LETTERS, BATCH_LETTERS, NAME_LETTERS = 160, 80, 120


@transaction.atomic
def load_old_hours(
    *,
    template: BuildTemplate,
    reading: Reading,
    uses: Mapping[str, StageUse],
    person: Any,
    now: datetime,
    name: str = "",
) -> OldSheet:
    """Return the load with the builds made from what could be read whole; on a Refusal none is.

    What is in the books already is left alone. `uses` is remembered for the next sheet. Hours
    are put down on the day the build was finished, by `person`. Raises Refusal when a name is
    not settled or nothing is left to load.
    """
    # Two loads of one sheet at once would both find the builds new.
    BuildTemplate.objects.select_for_update().get(pk=template.pk)
    if reading.unsettled:
        names = ", ".join(f"“{name}”" for name in reading.unsettled)
        raise Refusal(f"First choose the stage for {names}, or leave it out.")
    known = in_books(template, (build.name for build in reading.sound))
    fresh = [build for build in reading.sound if build.name not in known]
    if not fresh:
        raise Refusal(
            "There is nothing to load: every build is already loaded or has rows with errors."
        )
    stages = {stage.pk: stage for stage in template.stages.all()}
    _remember(template, uses, stages)
    sheet = OldSheet.objects.create(
        template=template, name=name[:NAME_LETTERS], loaded_at=now, loaded_by=person
    )
    for old in fresh:
        _load(sheet, old, stages)
    keep_hours(list(sheet.builds.values_list("pk", flat=True)))
    return sheet


def _remember(
    template: BuildTemplate, uses: Mapping[str, StageUse], stages: Mapping[int, TemplateStage]
) -> None:
    """Keep what each name means, except where it is the stage's own name."""
    for name, use in uses.items():
        stage = stages.get(use.stage) if use.stage is not None else None
        if use.kind == "stage" and stage is None:
            raise Refusal(
                f"The stage chosen for “{name}” is no longer in {template}. Choose again."
            )
        if stage is None or stage.name.casefold() != name.casefold():
            StageAlias.objects.update_or_create(
                template=template,
                written=name.casefold()[:NAME_LETTERS],
                defaults={"use": use.kind, "stage": stage},
            )


def _load(sheet: OldSheet, old: OldBuild, stages: Mapping[int, TemplateStage]) -> None:
    if old.finished is None:
        raise Refusal(f"{old.name}: no date done.")
    template, rows = sheet.template, _in_order(old, stages)
    is_serial = len(old.name) <= SERIAL_LETTERS
    build = enter_build(
        title=(old.title or (template.name if is_serial else old.name))[:TITLE_LETTERS],
        template=template,
        options=old.options,
        stages=[_planned(use, name, stages) for (use, name), _ in rows],
        made_on=old.started or old.finished,
        promised_on=None,
        now=sheet.loaded_at,
        serial=old.name if is_serial else "",
        batch=_batch(template, old.batch),
    )
    build.old_sheet, build.state = sheet, BuildState.CLOSED
    build.started_on = old.started or old.finished
    build.finished_on = build.closed_on = old.finished
    build.save(update_fields=["old_sheet", "state", "started_on", "finished_on", "closed_on"])
    done_at = timezone.make_aware(datetime.combine(old.finished, NOON))
    build.stages.update(started_at=done_at, finished_at=done_at)
    _put_down_hours(sheet, build, old.finished, [minutes for _, minutes in rows])


def _in_order(
    old: OldBuild, stages: Mapping[int, TemplateStage]
) -> list[tuple[tuple[StageUse, str], int]]:
    """Return the hours of a build in the order of the template, then under names of their own."""
    places = {key: place for place, key in enumerate(stages)}
    return sorted(
        old.minutes.items(), key=lambda row: places.get(row[0][0].stage or 0, len(places))
    )


def _planned(use: StageUse, name: str, stages: Mapping[int, TemplateStage]) -> PlannedStage:
    stage = stages.get(use.stage) if use.stage is not None else None
    named = stage.name if stage else name[:NAME_LETTERS]
    return PlannedStage(name=named, hours=Decimal(0), template_stage=stage)


def _batch(template: BuildTemplate, label: str) -> Batch | None:
    if not label:
        return None
    return Batch.objects.get_or_create(name=f"{template}: {label}"[:BATCH_LETTERS])[0]


def _put_down_hours(sheet: OldSheet, build: Build, day: date, minutes: Sequence[int]) -> None:
    entries = TimeEntry.objects.bulk_create(
        TimeEntry(
            person=sheet.loaded_by,
            source=TimeEntry.Source.SHEET,
            day=day,
            raw_seconds=each * 60,
            seconds=each * 60,
            recorded_at=sheet.loaded_at,
        )
        for each in minutes
    )
    TimeShare.objects.bulk_create(_shares(build, entries))


def _shares(build: Build, entries: Iterable[TimeEntry]) -> Iterable[TimeShare]:
    for entry, stage in zip(entries, build.stages.all(), strict=True):
        yield TimeShare(entry=entry, build=build, stage=stage, seconds=entry.seconds or 0)


RECORDED = ("time_shares__entry", "notes", "readings")
INSTEAD = "Leave them out of estimates instead."


@transaction.atomic
def undo_old_hours(*, sheet: OldSheet) -> int:
    """Remove the builds and hours of one load, and return how many builds it was.

    Raises Refusal when one of them has been worked with since.
    """
    builds = list(sheet.builds.prefetch_related(*RECORDED))
    for build in builds:
        _check_untouched(build)
    TimeEntry.objects.filter(shares__build__old_sheet=sheet).delete()
    try:
        Build.objects.filter(old_sheet=sheet).delete()
    except ProtectedError:
        raise Refusal(f"One of these builds now has a quote or stock drawn. {INSTEAD}") from None
    batches = {build.batch_id for build in builds if build.batch_id}
    Batch.objects.filter(pk__in=batches, builds__isnull=True).delete()
    sheet.delete()
    return len(builds)


def _check_untouched(build: Build) -> None:
    """Raise Refusal when hours that were not in the sheet, a note or a reading were added."""
    sources = {share.entry.source for share in build.time_shares.all()}
    if sources - {TimeEntry.Source.SHEET} or build.notes.all() or build.readings.all():
        raise Refusal(f"{build} has new entries since it was loaded. {INSTEAD}")
