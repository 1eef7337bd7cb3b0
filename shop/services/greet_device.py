"""Note that a device was heard from, and how far its clock is off."""

from datetime import datetime

from django.db import transaction

from inventory.calc.devicetime import put_right
from shop.models import Device


@transaction.atomic
def greet_device(
    *, device: Device, now: datetime, sent: datetime | None = None, version: str = ""
) -> Device:
    """Return `device` with when it was seen, its skew if it told its clock, and its version."""
    device.last_seen_at = now
    device.version = version
    if sent is not None:
        device.skew_seconds = put_right(sent, sent=sent, received=now).skew_seconds
    device.save(update_fields=["last_seen_at", "version", "skew_seconds"])
    return device
