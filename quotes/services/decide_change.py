"""Keep what the client said to a change: agreed with its paper, or declined."""

from datetime import datetime, timedelta

from inventory.refusals import Refusal
from quotes.documents.printing import print_paper
from quotes.keeping import all_or_nothing, keep_paper
from quotes.models import Change
from quotes.queries.change_papers import change_paper
from shop.models import Build


@all_or_nothing()
def decide_change(*, change: Change, agreed: bool, now: datetime, by: str = "") -> Change:
    """Return the change as decided. Agreed, it is printed once and its days move the promise.

    Its words stay beside the specification as a step of its history. Raises Refusal the second
    time.
    """
    locked = Change.objects.select_for_update(of=("self",)).get(pk=change.pk)
    if locked.state != Change.State.OFFERED:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    locked.state = Change.State.AGREED if agreed else Change.State.DECLINED
    locked.decided_at, locked.decided_by = now, by
    if agreed:
        _print(locked)
        _move_promise(locked)
    locked.save()
    return locked


def _print(change: Change) -> None:
    paper = change_paper(change)
    printed = print_paper("quotes/papers/change.html", paper, made_on=f"{change.offered_on}")
    keep_paper(change, f"{change.quote.number}-change-{change.number}", printed)


def _move_promise(change: Change) -> None:
    build = Build.objects.filter(pk=change.quote.build_id or 0).first()
    if build is not None and build.promised_on and change.days_added:
        build.promised_on += timedelta(days=change.days_added)
        build.save(update_fields=["promised_on"])
