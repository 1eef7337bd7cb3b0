"""Links withdrawn, readings noted, messages seen."""

from datetime import datetime

from django.db import transaction
from django.db.models.functions import Coalesce

from quotes.models import ClientLink, ClientMessage


@transaction.atomic
def withdraw_link(*, link: ClientLink, now: datetime) -> ClientLink:
    """Return the link as withdrawn; a second time changes nothing."""
    locked = ClientLink.objects.select_for_update(of=("self",)).get(pk=link.pk)
    if locked.withdrawn_at is None:
        locked.withdrawn_at = now
        locked.save(update_fields=["withdrawn_at"])
    return locked


@transaction.atomic
def record_link_read(*, link: ClientLink, now: datetime) -> None:
    """Keep when the link was first and last read. Who read it and from where is not kept."""
    ClientLink.objects.filter(pk=link.pk).update(opened_at=Coalesce("opened_at", now), seen_at=now)


@transaction.atomic
def mark_message_seen(*, message: ClientMessage, now: datetime) -> ClientMessage:
    """Return the message as seen; it no longer needs a hand."""
    ClientMessage.objects.filter(pk=message.pk, seen_at=None).update(seen_at=now)
    return ClientMessage.objects.get(pk=message.pk)
