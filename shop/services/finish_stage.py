"""Finish a stage of a build."""

from datetime import datetime

from django.db import transaction

from shop.models import BuildStage
from shop.services.start_stage import start_stage


@transaction.atomic
def finish_stage(*, stage: BuildStage, now: datetime) -> BuildStage:
    """Stamp the end of `stage`, and its start too if nobody said when that was."""
    start_stage(stage=stage, now=now)
    if stage.finished_at is None:
        stage.finished_at = now
        stage.save(update_fields=["finished_at"])
    return stage
