"""Changes of builds as the bench has to know them: what to make, and what to leave until paid."""

from collections.abc import Collection
from datetime import date

from django.utils import timezone

from quotes.models import Change
from quotes.queries.changes import ChangeStanding, standings_of
from shop.agreed import Agreed, AgreedChange
from shop.models import Build


def changes_of_builds(builds: Collection[Build], on: date) -> Agreed:
    """Return the agreed changes of builds by the key of each, in five queries for any number."""
    changes = list(
        Change.objects.filter(quote__build__in=builds, state=Change.State.AGREED)
        .select_related("quote__commission__client")
        .prefetch_related("materials")
        .order_by("decided_at", "pk")
    )
    found: Agreed = {}
    for standing in standings_of(changes, {one.quote.commission.client for one in changes}, on):
        key = standing.change.quote.build_id
        if key is not None:
            found[key] = (*found.get(key, ()), _told(standing))
    return found


def _told(standing: ChangeStanding) -> AgreedChange:
    change = standing.change
    agreed_on = timezone.localtime(change.decided_at).date() if change.decided_at else None
    return AgreedChange(
        number=change.number,
        title=change.title,
        words=change.words,
        agreed_on=agreed_on or change.offered_on,
        days_added=change.days_added,
        waits=standing.waits,
        stages=(change.stage_id,) if change.stage_id else (),
        lines=tuple(row.line_id for row in change.materials.all() if row.line_id),
    )
