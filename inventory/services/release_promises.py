"""Let go of everything a holder was promised."""

from datetime import datetime

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Promise
from inventory.services.release_promise import release_promise


@transaction.atomic
def release_promises(*, holder: str, now: datetime) -> int:
    """End every open promise of `holder`; return how many there were."""
    promises = list(
        Promise.objects.filter(holder=holder, outstanding__gt=0).select_related("material")
    )
    lock_materials([promise.material for promise in promises])
    for promise in promises:
        release_promise(promise=promise, now=now)
    return len(promises)
