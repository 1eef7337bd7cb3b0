"""Add a note or a photo to a build."""

from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.photos import shrunk_photo, small_photo
from inventory.refusals import Refusal
from shop.models import Build, BuildNote, BuildStage


@transaction.atomic
def add_build_note(
    *,
    build: Build,
    now: datetime,
    text: str = "",
    photo: UploadedFile | None = None,
    stage: BuildStage | None = None,
    user: Any = None,
) -> BuildNote:
    """Keep `text`, `photo` or both with `build`; a photo is made small and loses its location.

    Raises Refusal when there is neither, or the photo can't be read.
    """
    if not text.strip() and photo is None:
        raise Refusal("Write something, or choose a photo.", field="text")
    name = f"{build.serial}-{now:%Y%m%d-%H%M%S}"
    image = shrunk_photo(photo, name) if photo else None
    return BuildNote.objects.create(
        build=build,
        stage=stage,
        text=text.strip(),
        photo=image or "",
        small=small_photo(image, name) if image else "",
        made_at=now,
        made_by=user,
    )
