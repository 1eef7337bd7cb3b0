"""Start, finish and reopen a stage."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.models import BuildStage, BuildState
from shop.stages.locking import locked_build


@transaction.atomic
def start_stage(*, stage: BuildStage, now: datetime) -> BuildStage:
    """Stamp the start of `stage`, unless it has one; a planned build is under way from then on."""
    if stage.started_at is None:
        stage.started_at = now
        stage.save(update_fields=["started_at"])
    build = locked_build(stage.build)
    if build.state == BuildState.PLANNED:
        build.state = BuildState.UNDER_WAY
        build.started_on = build.started_on or timezone.localtime(now).date()
        build.save(update_fields=["state", "started_on"])
    return stage


@transaction.atomic
def finish_stage(*, stage: BuildStage, now: datetime) -> BuildStage:
    """Stamp the end of `stage`, and its start too if nobody said when that was."""
    start_stage(stage=stage, now=now)
    if stage.finished_at is None:
        stage.finished_at = now
        stage.save(update_fields=["finished_at"])
    return stage


@transaction.atomic
def reopen_stage(*, stage: BuildStage) -> BuildStage:
    """Take the end off `stage`; its start stays."""
    stage.finished_at = None
    stage.save(update_fields=["finished_at"])
    return stage
