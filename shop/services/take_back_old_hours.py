"""Take back a load of old sheets, as long as nothing else was recorded on its builds."""

from django.db import transaction
from django.db.models import ProtectedError

from inventory.refusals import Refusal
from shop.models import Batch, Build, OldSheet, TimeEntry

RECORDED = ("time_shares__entry", "notes", "readings")
INSTEAD = "Set aside what should not count."


@transaction.atomic
def take_back_old_hours(*, sheet: OldSheet) -> int:
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
        raise Refusal(f"One of these builds has a quote or draws by now. {INSTEAD}") from None
    batches = {build.batch_id for build in builds if build.batch_id}
    Batch.objects.filter(pk__in=batches, builds__isnull=True).delete()
    sheet.delete()
    return len(builds)


def _check_untouched(build: Build) -> None:
    """Raise Refusal when hours that were not in the sheet, a note or a reading were added."""
    sources = {share.entry.source for share in build.time_shares.all()}
    if sources - {TimeEntry.Source.SHEET} or build.notes.all() or build.readings.all():
        raise Refusal(f"{build} has been worked with since it was loaded. {INSTEAD}")
