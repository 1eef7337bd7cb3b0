"""Open a pack: from now on it keeps as an opened one does."""

from datetime import date, timedelta

from django.db import transaction

from inventory.models import Lot
from inventory.refusals import Refusal


@transaction.atomic
def open_pack(*, lot: Lot, on: date) -> Lot:
    """Note that `lot` was opened; it expires when opened stock of its material does, if sooner.

    Raises Refusal when it is open already or nothing is left of it.
    """
    fresh = Lot.objects.select_for_update(of=("self",)).select_related("material").get(pk=lot.pk)
    if fresh.opened_on:
        raise Refusal(
            f"{fresh.number} was opened on {fresh.opened_on.day} {fresh.opened_on:%B %Y}."
        )
    if fresh.remaining <= 0:
        raise Refusal(f"Nothing is left of {fresh.number}.")
    fresh.opened_on = on
    if fresh.material.open_days is not None:
        opened_life = on + timedelta(days=fresh.material.open_days)
        fresh.expires_on = min(fresh.expires_on or opened_life, opened_life)
    fresh.save(update_fields=["opened_on", "expires_on"])
    return fresh
