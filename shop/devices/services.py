"""Devices paired, greeted and cut off."""

import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F
from knox.models import AuthToken

from inventory.base.calc.device_time import to_server_time
from inventory.base.people import Person, who
from inventory.base.refusals import Refusal
from shop.access.bookkeeping import Act, log_access
from shop.base.calc import ALPHABET, digest
from shop.models import Device, PairingCode


@transaction.atomic
def add_device(
    *, user: Person, name: str, now: datetime, rights: str = Device.Rights.BENCH
) -> tuple[Device, str]:
    """Return the device and its token, which is shown once and kept only as a digest.

    It ends 90 days after its last use. Raises Refusal without a name to know the device by.
    """
    if not name.strip():
        raise Refusal("Name the device, such as “bench phone”.", field="name")
    row, token = AuthToken.objects.create(user=user)
    device = Device.objects.create(token=row, name=name.strip(), rights=rights)
    log_access(
        act=Act.DEVICE_ADDED,
        person=user.get_username(),
        now=now,
        detail=f"{device.name}, {device.get_rights_display()}",
    )
    return device, token


OPEN_FOR = timedelta(minutes=10)
LENGTH = 8
"""Of a pairing code: short enough to type with one thumb."""


@transaction.atomic
def make_pairing_code(*, user: Person, name: str, now: datetime) -> tuple[PairingCode, str]:
    """Return the row and the code, which is shown this once and works once within ten minutes.

    Earlier codes of `user` stop working. Raises Refusal without a name for the device.
    """
    if not name.strip():
        raise Refusal("Name the device, such as “bench phone”.", field="name")
    PairingCode.objects.filter(user=who(user)).delete()
    code = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    row = PairingCode.objects.create(
        user=who(user),
        name=name.strip(),
        digest=digest(code),
        made_at=now,
        expires_at=now + OPEN_FOR,
    )
    return row, code


MOST_MISSES = 20


def pair_device(*, code: str, now: datetime) -> tuple[Device, str]:
    """Return the device and its token; the code is spent.

    A wrong code counts against every open one, and twenty close them all: codes can't be guessed
    at leisure. Raises Refusal for a code that is wrong, spent, too old or closed.
    """
    with transaction.atomic():
        row = _taken(code, now)
        if row is not None:
            return add_device(user=row.user, name=row.name, now=now)
        PairingCode.objects.filter(expires_at__gt=now).update(misses=F("misses") + 1)
    raise Refusal(
        "This code is wrong, used or more than ten minutes old. Make a new one on the computer.",
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


@transaction.atomic
def record_device_contact(
    *, device: Device, now: datetime, sent: datetime | None = None, version: str = ""
) -> Device:
    """Return `device` with when it was seen, its skew if it told its clock, and its version."""
    device.last_seen_at = now
    device.version = version
    if sent is not None:
        device.skew_seconds = to_server_time(sent, sent=sent, received=now).skew_seconds
    device.save(update_fields=["last_seen_at", "version", "skew_seconds"])
    return device


@transaction.atomic
def revoke_token(*, token: AuthToken, now: datetime, by: str = "") -> None:
    """Delete `token`, which ends its device. What the device recorded before stays."""
    device = Device.objects.filter(token=token).first()
    log_access(
        act=Act.DEVICE_ENDED,
        person=token.user.get_username(),
        now=now,
        by=by,
        detail=device.name if device else "",
    )
    token.delete()
