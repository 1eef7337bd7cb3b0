"""Keep what the client said to a change: agreed as it was offered, or declined."""

from datetime import datetime

from inventory.refusals import Refusal
from quotes.keeping import all_or_nothing
from quotes.locking import lock_change
from quotes.models import Change
from shop.services.extend_build import MoreMaterial, extend_build


@all_or_nothing()
def decide_change(*, change: Change, agreed: bool, now: datetime, by: str = "") -> Change:
    """Return the change as decided. Agreed, the build gets what it brings: stage, materials, days.

    Its words stay beside the specification as a step of its history. Raises Refusal the second
    time.
    """
    locked = lock_change(change)
    if locked.state != Change.State.OFFERED:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    locked.state = Change.State.AGREED if agreed else Change.State.DECLINED
    locked.decided_at, locked.decided_by = now, by
    if agreed:
        _bring(locked, now)
    locked.save()
    return locked


def _bring(change: Change, now: datetime) -> None:
    """Add to the build what was agreed, and note what became of it."""
    if change.quote.build is None:
        return
    rows = list(change.materials.select_related("material__family"))
    added = extend_build(
        build=change.quote.build,
        name=change.title,
        now=now,
        hours=change.hours,
        before=change.before,
        materials=[
            MoreMaterial(material=row.material, quantity=row.quantity, cost=row.cost)
            for row in rows
        ],
        days=change.days_added,
    )
    change.stage = added.stage
    for row, line in zip(rows, added.lines, strict=False):
        row.line = line
        row.save(update_fields=["line"])
