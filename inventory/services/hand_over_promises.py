"""Hand promises over to another holder: what is put aside stays put aside."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Promise


@transaction.atomic
def hand_over_promises(
    *,
    holder: str,
    to: str,
    to_name: str,
    lines: Mapping[str, str],
    until: date | None = None,
) -> int:
    """Give every open promise of `holder` to the holder `to`; return how many there were.

    `lines` gives the new key of each line; a line that is not in it keeps its own. Quantities and
    pieces stay as they are.
    """
    promises = list(
        Promise.objects.filter(holder=holder, outstanding__gt=0).select_related("material")
    )
    lock_materials([promise.material for promise in promises])
    for promise in promises:
        promise.holder, promise.holder_name, promise.until = to, to_name, until
        promise.line = lines.get(promise.line, promise.line)
        promise.save(update_fields=["holder", "holder_name", "until", "line"])
    return len(promises)
