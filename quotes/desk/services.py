"""Cancel a commission: everything that was promised for it is free again."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.base.refusals import Refusal
from inventory.reservations.services import release_reservations
from quotes.models import Commission, Quote
from shop.builds.services.end import cancel_build

OPEN = (Quote.State.DRAFT, Quote.State.ISSUED)


@transaction.atomic
def cancel_commission(
    *, commission: Commission, now: datetime, why: str = "", user: Any = None
) -> Commission:
    """Return the commission as cancelled: open quotes are declined, an open build is cancelled.

    Raises Refusal when it was delivered or cancelled, or its instrument is finished.
    """
    locked = Commission.objects.select_for_update(of=("self",)).get(pk=commission.pk)
    if locked.state in {Commission.State.DELIVERED, Commission.State.CANCELLED}:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    for quote in locked.quotes.select_related("build"):
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
