"""Edit a build, add notes, record lost days."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.people import Person, signed_in
from inventory.base.photos import shrunk_photo
from inventory.base.refusals import Refusal
from shop.models import Batch, Build, BuildNote, BuildStage, LostDays
from shop.patterns.calc import SpecRow, rows_from, with_replaced, without_lines_of
from shop.stages.locking import locked_build

CHANGEABLE = frozenset({"title", "serial", "specification", "is_set_aside"})


@transaction.atomic
def edit_build(*, build: Build, changes: Mapping[str, Any], batch_name: str | None = None) -> Build:
    """Return `build` with `changes` to its `CHANGEABLE` fields.

    `batch_name` puts it with the builds of that name, empty puts it on its own. Raises Refusal
    when the serial number is taken, and for another promised date, which no edit moves.
    """
    build = locked_build(build)
    if changes.get("promised_on", build.promised_on) != build.promised_on:
        raise Refusal(
            "A promised date is not edited: promise another date from the queue, and enter how the "
            "client was told.",
            field="promised_on",
        )
    serial = changes.get("serial", build.serial)
    if Build.objects.exclude(pk=build.pk).filter(serial=serial).exists():
        raise Refusal(f"Serial number {serial} is taken. Enter another.", field="serial")
    for name in CHANGEABLE & changes.keys():
        setattr(build, name, changes[name])
    if batch_name is not None:
        name = batch_name.strip()
        build.batch = Batch.objects.get_or_create(name=name)[0] if name else None
    build.save(update_fields=[*CHANGEABLE, "batch"])
    return build


@transaction.atomic
def replace_specification(*, build: Build, rows: Sequence[SpecRow]) -> Build:
    """Return `build` with `rows` in the place of their namesakes; an empty row is left out.

    Lines of its free words that begin with the name of a row go: the row says it now.
    """
    build = locked_build(build)
    now = with_replaced(rows_from(build.specification_rows), rows)
    build.specification_rows = [row.as_data() for row in now]
    build.specification = without_lines_of(build.specification, [row.name for row in rows])
    build.save(update_fields=["specification_rows", "specification"])
    return build


@in_attempts
@transaction.atomic
def add_build_note(
    *,
    build: Build,
    now: datetime,
    text: str = "",
    photo: UploadedFile | None = None,
    stage: BuildStage | None = None,
    user: Person | None = None,
) -> BuildNote:
    """Keep `text`, `photo` or both with `build`; a photo is made small and loses its location.

    Raises Refusal when there is neither, or the photo can't be read.
    """
    if not text.strip() and photo is None:
        raise Refusal("Enter a note or choose a photo.", field="text")
    name = f"{build.serial}-{now:%Y%m%d-%H%M%S}"
    files = shrunk_photo(photo).files(name) if photo else {"image": "", "small": ""}
    return BuildNote.objects.create(
        build=build,
        stage=stage,
        text=text.strip(),
        photo=files["image"],
        small=files["small"],
        made_at=now,
        made_by=signed_in(user),
    )


def release_photo(*, note: BuildNote, to_client: bool) -> None:
    """Show the photo of `note` on the client's page, or no more. Raises Refusal without a photo."""
    if not note.photo:
        raise Refusal("This note has no photo.")
    note.is_released = to_client
    note.save(update_fields=["is_released"])


MOST_DAYS = 999


@transaction.atomic
def record_lost_days(*, build: Build, days: int, reason: str, on: date, note: str = "") -> LostDays:
    """Return the note; it may be made while the build goes on or after it is closed.

    Raises Refusal without a reason and on a number of days that can't be meant.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise Refusal("Enter the reason for the days lost.", field="reason")
    if not 0 < days <= MOST_DAYS:
        raise Refusal(f"Days lost must be from 1 to {MOST_DAYS}.", field="days")
    return LostDays.objects.create(build=build, days=days, reason=reason, note=note, noted_on=on)


@transaction.atomic
def remove_lost_days(*, lost: LostDays) -> None:
    """Delete the note; a close-out that was kept before stays as it is."""
    lost.delete()
