"""Keep a picture of a piece or lot."""

from datetime import date

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.models import Lot, Photo
from inventory.photos import shrunk_photo


@transaction.atomic
def add_photo(*, lot: Lot, upload: UploadedFile, on: date, note: str = "") -> Photo:
    """Shrink the picture, strip what the camera wrote into it, and keep it with `lot`.

    Raises Refusal for what is no picture or too large to open.
    """
    small = shrunk_photo(upload, f"{lot.number}-{lot.photos.count() + 1}")
    return Photo.objects.create(lot=lot, image=small, note=note, taken_on=on)
