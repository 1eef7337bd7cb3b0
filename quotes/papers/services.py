"""Choose how papers look. What was issued keeps the look that it was issued with."""

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.photos import shrunk_photo
from inventory.base.refusals import Refusal
from quotes.models import PaperLook
from quotes.papers.calc import check_readable


@in_attempts
@transaction.atomic
def set_paper_look(*, logo: UploadedFile | None = None, **fields: Any) -> PaperLook:
    """Return the look with what is given of `face`, `accent` and `logo`, all of it or nothing.

    The logo before goes once that is certain. Raises Refusal on a face or colour that can't be
    read, and for what is no picture or too large to open.
    """
    shrunk = shrunk_photo(logo, field="logo") if logo else None
    look = PaperLook.objects.get_or_create(pk=1)[0]
    for name, value in fields.items():
        setattr(look, name, value)
    if look.face not in PaperLook.Face:
        raise Refusal("The face is serif or sans.", field="face")
    check_readable(look.accent)
    if shrunk:
        _delete_once_certain(look)
        look.logo = shrunk.files("logo")["image"]
    look.save()
    return look


@transaction.atomic
def remove_logo() -> PaperLook:
    """Return the look without a logo; its file goes once that is certain."""
    look = PaperLook.objects.get_or_create(pk=1)[0]
    _delete_once_certain(look)
    look.logo = ""
    look.save(update_fields=["logo"])
    return look


def _delete_once_certain(look: PaperLook) -> None:
    if name := look.logo.name:
        storage = look.logo.storage
        transaction.on_commit(lambda: storage.delete(name))
