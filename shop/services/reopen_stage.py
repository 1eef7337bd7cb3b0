"""Take up a stage again that was called finished."""

from django.db import transaction

from shop.models import BuildStage


@transaction.atomic
def reopen_stage(*, stage: BuildStage) -> BuildStage:
    """Take the end off `stage`; its start stays."""
    stage.finished_at = None
    stage.save(update_fields=["finished_at"])
    return stage
