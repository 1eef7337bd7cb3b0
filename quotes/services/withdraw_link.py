"""Withdraw a client's link: it opens nothing from now on."""

from datetime import datetime

from django.db import transaction

from quotes.models import ClientLink


@transaction.atomic
def withdraw_link(*, link: ClientLink, now: datetime) -> ClientLink:
    """Return the link as withdrawn; a second time changes nothing."""
    locked = ClientLink.objects.select_for_update(of=("self",)).get(pk=link.pk)
    if locked.withdrawn_at is None:
        locked.withdrawn_at = now
        locked.save(update_fields=["withdrawn_at"])
    return locked
