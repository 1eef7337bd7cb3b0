"""Let go of everything a holder was promised, and still needed."""

from datetime import datetime

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Need, Promise
from inventory.services.release_promise import release_promise


@transaction.atomic
def release_promises(*, holder: str, now: datetime) -> int:
    """End every open promise of `holder`, and forget its needs; return how many promises ended."""
    Need.objects.filter(holder=holder).delete()
    promises = list(
        Promise.objects.filter(holder=holder, outstanding__gt=0).select_related("material")
    )
    lock_materials([promise.material for promise in promises])
    for promise in promises:
        release_promise(promise=promise, now=now)
    return len(promises)
