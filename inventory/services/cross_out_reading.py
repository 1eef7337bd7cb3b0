"""Cross out a moisture reading that was noted by mistake: it stays in sight and counts no more."""

from django.db import transaction

from inventory.models import MoistureReading
from inventory.refusals import Refusal


@transaction.atomic
def cross_out_reading(*, reading: MoistureReading) -> MoistureReading:
    """Leave the reading out of what is said of the piece. Raises Refusal the second time."""
    fresh = MoistureReading.objects.select_for_update().get(pk=reading.pk)
    if fresh.is_crossed_out:
        raise Refusal("This reading is crossed out already.")
    fresh.is_crossed_out = True
    fresh.save(update_fields=["is_crossed_out"])
    return fresh
