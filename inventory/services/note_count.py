"""Note what was found of one lot during a count."""

from decimal import Decimal

from django.db import transaction

from inventory.models import Count, CountLine, DifferenceReason
from inventory.refusals import Refusal


@transaction.atomic
def note_count(
    *, line: CountLine, counted: Decimal | None, reason: str = "", note: str = ""
) -> CountLine:
    """Keep what was counted, in base units; None means not counted. Changes no balance yet.

    Raises Refusal once the count is closed, and for a count that can't be.
    """
    count = Count.objects.select_for_update().get(pk=line.count_id)
    if count.closed_at:
        raise Refusal("This count is closed. Count the material on its own page instead.")
    if counted is not None and counted < 0:
        raise Refusal("A count is 0 or more.", field="counted")
    if counted is not None and line.material.is_piece and counted not in {0, 1}:
        raise Refusal(f"{line.lot.number} is one piece: count 0 or 1 of it.", field="counted")
    if reason and reason not in DifferenceReason.values:
        raise Refusal("Choose one of the reasons for a difference.", field="reason")
    line.counted, line.reason, line.note = counted, reason, note
    line.save(update_fields=["counted", "reason", "note"])
    return line
