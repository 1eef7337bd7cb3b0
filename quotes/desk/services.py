"""Cancel a commission: everything that was promised for it is free again."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.models import Promise
from inventory.reservations.services import release_reservations
from quotes.base.locking import lock_commission
from quotes.models import Commission, Quote
from shop.builds.services.end import cancel_build
from shop.stages.locking import locked_build

OPEN = (Quote.State.DRAFT, Quote.State.ISSUED)


@in_attempts
@transaction.atomic
def cancel_commission(
    *, commission: Commission, now: datetime, why: str = "", user: Any = None
) -> Commission:
    """Return the commission as cancelled: open quotes are declined, an open build is cancelled.

    Raises Refusal when it was delivered or cancelled, or its instrument is finished.
    """
    locked = lock_commission(commission.pk)
    if locked.state in {Commission.State.DELIVERED, Commission.State.CANCELLED}:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    quotes = locked.quotes.select_related("build").order_by("pk")
    _lock_what_is_let_go(quotes)
    for quote in quotes:
        release_reservations(holder=quote.holder, now=now)
        if quote.build is not None and quote.state == Quote.State.ACCEPTED:
            cancel_build(build=quote.build, now=now, why=why, user=user)
    locked.quotes.filter(state__in=OPEN).update(
        state=Quote.State.DECLINED,
        decided_at=now,
        decline_reason=f"commission cancelled. {why}".strip()[:300],
        held_until=None,
    )
    locked.state = Commission.State.CANCELLED
    locked.save(update_fields=["state"])
    return locked


def _lock_what_is_let_go(quotes: Iterable[Quote]) -> None:
    """Lock every build and then every material of the order, each in key order."""
    builds = [locked_build(quote.build) for quote in quotes if quote.build]
    holders = [*(quote.holder for quote in quotes), *(build.holder for build in builds)]
    promises = Promise.objects.filter(holder__in=holders, outstanding__gt=0)
    lock_materials([promise.material for promise in promises.select_related("material")])
