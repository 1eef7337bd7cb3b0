"""Open a commission: a client asked for an instrument."""

from datetime import date

from django.db import transaction

from inventory.refusals import Refusal
from quotes.models import Client, Commission


@transaction.atomic
def open_commission(*, client: Client, title: str, asked_on: date, note: str = "") -> Commission:
    """Return a new commission that is being talked about."""
    if not title.strip():
        raise Refusal("Say in a few words what the client asked for.", field="title")
    return Commission.objects.create(
        client=client, title=title.strip(), asked_on=asked_on, note=note
    )
