"""Start a stage of a build."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.locking import locked_build
from shop.models import BuildStage, BuildState


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
