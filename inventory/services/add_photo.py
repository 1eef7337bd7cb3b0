"""Keep a picture of a piece or lot."""

from datetime import date

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.models import Lot, Photo
from inventory.photos import shrunk_photo, small_photo


@transaction.atomic
def add_photo(*, lot: Lot, upload: UploadedFile, on: date, note: str = "") -> Photo:
    """Shrink the picture, strip what the camera wrote into it, and keep it with `lot`.

    Raises Refusal for what is no picture or too large to open.
    """
    name = f"{lot.number}-{lot.photos.count() + 1}"
    image = shrunk_photo(upload, name)
    small = small_photo(image, name)
    return Photo.objects.create(lot=lot, image=image, small=small, note=note, taken_on=on)
