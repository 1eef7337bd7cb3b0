"""Pair a device: trade a code that the desk shows for a token."""

from datetime import datetime

from django.db import transaction
from django.db.models import F

from inventory.refusals import Refusal
from shop.calc.pairing import digest
from shop.models import Device, PairingCode
from shop.services.add_device import add_device

MOST_MISSES = 20


def pair_device(*, code: str, now: datetime) -> tuple[Device, str]:
    """Return the device and its token; the code is spent.

    A wrong code counts against every open one, and twenty close them all: codes can't be guessed
    at leisure. Raises Refusal for a code that is wrong, spent, too old or closed.
    """
    with transaction.atomic():
        row = _taken(code, now)
        if row is not None:
            return add_device(user=row.user, name=row.name)
        PairingCode.objects.filter(expires_at__gt=now).update(misses=F("misses") + 1)
    raise Refusal(
        "This code is wrong, spent or more than ten minutes old. Make a new one at the desk.",
        field="code",
    )


def _taken(code: str, now: datetime) -> PairingCode | None:
    """Take the open row of `code` out of the table; of two takers one gets it."""
    row = (
        PairingCode.objects.filter(
            digest=digest(code),
            expires_at__gt=now,
            misses__lt=MOST_MISSES,
            user__is_active=True,
        )
        .select_related("user")
        .first()
    )
    if row is None or not PairingCode.objects.filter(pk=row.pk).delete()[0]:
        return None
    return row
