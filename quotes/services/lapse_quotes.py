"""Mark what is past its date: quotes that lapsed, and holds on stock that ended."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from inventory.services.release_promises import release_promises
from quotes.models import Quote


@transaction.atomic
def lapse_quotes(*, on: date, now: datetime) -> list[Quote]:
    """Return the quotes that lapsed: issued, and valid until a day before `on`.

    Holds that ended are released, those of lapsed quotes among them.
    """
    past = Q(state=Quote.State.ISSUED, valid_until__lt=on)
    lapsed = list(Quote.objects.select_for_update().filter(past))
    keys = [quote.pk for quote in lapsed]
    ended = list(
        Quote.objects.filter(
            Q(held_until__lt=on) | Q(pk__in=keys, held_until__isnull=False)
        ).order_by("pk")
    )
    for quote in ended:
        release_promises(holder=quote.holder, now=now)
    if lapsed:
        Quote.objects.filter(pk__in=keys).update(state=Quote.State.LAPSED)
    if ended:
        Quote.objects.filter(pk__in=[quote.pk for quote in ended]).update(held_until=None)
    return lapsed
