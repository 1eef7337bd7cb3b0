"""Make a code by which one phone or machine gets a token of its own."""

import secrets
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.calc.pairing import ALPHABET, LENGTH, digest
from shop.models import PairingCode

OPEN_FOR = timedelta(minutes=10)


@transaction.atomic
def make_pairing_code(*, user: Any, name: str, now: datetime) -> tuple[PairingCode, str]:
    """Return the row and the code, which is shown this once and works once within ten minutes.

    Earlier codes of `user` stop working. Raises Refusal without a name for the device.
    """
    if not name.strip():
        raise Refusal("Name the device, such as “bench phone”.", field="name")
    PairingCode.objects.filter(user=user).delete()
    code = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    row = PairingCode.objects.create(
        user=user,
        name=name.strip(),
        digest=digest(code),
        made_at=now,
        expires_at=now + OPEN_FOR,
    )
    return row, code
