"""Cut a device off: a lost phone gets no further answer."""

from django.db import transaction

from shop.models import Device


@transaction.atomic
def cut_off_device(*, device: Device) -> None:
    """Delete the token of `device`. What the device recorded before stays."""
    device.token.delete()
