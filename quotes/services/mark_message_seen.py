"""Mark a client's message as seen by the maker."""

from datetime import datetime

from django.db import transaction

from quotes.models import ClientMessage


@transaction.atomic
def mark_message_seen(*, message: ClientMessage, now: datetime) -> ClientMessage:
    """Return the message as seen; it no longer needs a hand."""
    ClientMessage.objects.filter(pk=message.pk, seen_at=None).update(seen_at=now)
    return ClientMessage.objects.get(pk=message.pk)
