"""Let go of what a promise still holds."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.locking import lock_materials
from inventory.models import Material, Promise


@transaction.atomic
def release_promise(*, promise: Promise, now: datetime) -> Promise:
    """End `promise`: what it still held is free again. Ending it twice does nothing."""
    lock_materials([promise.material])
    fresh = Promise.objects.get(pk=promise.pk)
    if fresh.outstanding:
        less = quantity_value(fresh.outstanding)
        Material.objects.filter(pk=fresh.material_id).update(promised=F("promised") - less)
        fresh.outstanding, fresh.ended_at = Decimal(0), now
        fresh.save(update_fields=["outstanding", "ended_at"])
    return fresh
