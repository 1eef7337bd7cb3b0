"""Choose how papers look. What was issued keeps the look that it was issued with."""

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.photos import shrunk_photo
from inventory.base.refusals import Refusal
from quotes.models import PaperLook
from quotes.papers.calc import check_readable


@transaction.atomic
def set_paper_look(**fields: Any) -> PaperLook:
    """Return the look with `face` or `accent` written. Raises Refusal on what can't be read."""
    look = PaperLook.objects.get_or_create(pk=1)[0]
    for name, value in fields.items():
        setattr(look, name, value)
    if look.face not in PaperLook.Face:
        raise Refusal("The face is serif or sans.", field="face")
    check_readable(look.accent)
    look.save(update_fields=[*fields])
    return look


@in_attempts
@transaction.atomic
def set_logo(*, upload: UploadedFile) -> PaperLook:
    """Return the look with a picture at the head of every paper; the one before it goes.

    Raises Refusal for what is no picture or too large to open.
    """
    shrunk = shrunk_photo(upload)
    look = PaperLook.objects.get_or_create(pk=1)[0]
    _delete_once_certain(look)
    look.logo = shrunk.files("logo")["image"]
    look.save(update_fields=["logo"])
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
