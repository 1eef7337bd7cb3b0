"""Show what the books say in a count that was blind so far, to look again where it differs."""

from django.db import transaction

from inventory.models import Count
from inventory.refusals import Refusal


@transaction.atomic
def reveal_count(*, count: Count) -> Count:
    """Let the books be seen; what was counted blind stays. Raises Refusal once it is closed."""
    fresh = Count.objects.select_for_update().get(pk=count.pk)
    if fresh.closed_at:
        raise Refusal("This count is closed already.")
    fresh.is_blind = False
    fresh.save(update_fields=["is_blind"])
    return fresh
