"""Change what a build is called, when it is promised, and who it is made beside."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.locking import locked_build
from shop.models import Batch, Build

CHANGEABLE = frozenset({"title", "serial", "promised_on", "specification", "is_set_aside"})


@transaction.atomic
def change_build(
    *, build: Build, changes: Mapping[str, Any], batch_name: str | None = None
) -> Build:
    """Return `build` with `changes` to its `CHANGEABLE` fields.

    `batch_name` puts it with the builds of that name, empty puts it on its own. Raises Refusal
    when the serial number is taken.
    """
    build = locked_build(build)
    serial = changes.get("serial", build.serial)
    if Build.objects.exclude(pk=build.pk).filter(serial=serial).exists():
        raise Refusal(
            f"Serial number {serial} is taken. Give one that no instrument has.", field="serial"
        )
    for name in CHANGEABLE & changes.keys():
        setattr(build, name, changes[name])
    if batch_name is not None:
        name = batch_name.strip()
        build.batch = Batch.objects.get_or_create(name=name)[0] if name else None
    build.save(update_fields=[*CHANGEABLE, "batch"])
    return build
