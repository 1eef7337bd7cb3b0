"""Give a device a token of its own."""

from typing import Any

from django.db import transaction
from knox.models import AuthToken

from inventory.refusals import Refusal
from shop.models import Device


@transaction.atomic
def add_device(*, user: Any, name: str) -> tuple[Device, str]:
    """Return the device and its token, which is shown once and kept only as a digest.

    Raises Refusal without a name to know the device by.
    """
    if not name.strip():
        raise Refusal("Name the device, such as “bench phone”.", field="name")
    row, token = AuthToken.objects.create(user=user)
    return Device.objects.create(token=row, name=name.strip()), token
