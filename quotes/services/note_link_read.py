"""Note that a client's link was read."""

from datetime import datetime

from django.db import transaction
from django.db.models.functions import Coalesce

from quotes.models import ClientLink


@transaction.atomic
def note_link_read(*, link: ClientLink, now: datetime) -> None:
    """Keep when the link was first and last read. Who read it and from where is not kept."""
    ClientLink.objects.filter(pk=link.pk).update(opened_at=Coalesce("opened_at", now), seen_at=now)
