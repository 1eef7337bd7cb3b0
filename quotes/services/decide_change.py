"""Keep what the client said to a change: agreed as it was offered, or declined."""

from datetime import datetime, timedelta

from inventory.refusals import Refusal
from quotes.keeping import all_or_nothing
from quotes.locking import lock_change
from quotes.models import Change
from shop.locking import locked_build


@all_or_nothing()
def decide_change(*, change: Change, agreed: bool, now: datetime, by: str = "") -> Change:
    """Return the change as decided. Agreed, its days move the promise.

    Its words stay beside the specification as a step of its history. Raises Refusal the second
    time.
    """
    locked = lock_change(change)
    if locked.state != Change.State.OFFERED:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    locked.state = Change.State.AGREED if agreed else Change.State.DECLINED
    locked.decided_at, locked.decided_by = now, by
    if agreed:
        _move_promise(locked)
    locked.save()
    return locked


def _move_promise(change: Change) -> None:
    if change.quote.build is None or not change.days_added:
        return
    build = locked_build(change.quote.build)
    if build.promised_on:
        build.promised_on += timedelta(days=change.days_added)
        build.save(update_fields=["promised_on"])
