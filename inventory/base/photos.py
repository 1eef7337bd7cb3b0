"""Photos: shrunk, turned upright, and freed of what the camera wrote beside the picture."""

from io import BytesIO
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile

from inventory.base.refusals import Refusal

if TYPE_CHECKING:
    from PIL import Image

LONGEST_SIDE = 1600
SMALL_SIDE = 480
"""Sharp at 240 px of a list on a screen with two dots to the pixel."""

QUALITY = 82
MOST_BYTES = 25 * 1024 * 1024


def shrunk_photo(upload: UploadedFile, name: str) -> ContentFile:
    """Return `upload` as a JPEG called `name`: at most 1,600 px, without place, camera or time.

    Only the pixels are kept. Raises Refusal for what is no picture, or too large to open safely.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    if (upload.size or 0) > MOST_BYTES:
        raise Refusal("This picture is larger than 25 MB. Send a smaller one.", field="photo")
    try:
        with Image.open(upload) as picture:
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except Image.DecompressionBombError:
        raise Refusal("This picture is too large to open.", field="photo") from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        raise Refusal("This file is no picture that can be read.", field="photo") from None
    return _bare_copy(upright, LONGEST_SIDE, name)


def small_photo(photo: ContentFile, name: str) -> ContentFile:
    """Return what `shrunk_photo` returned once more, small enough for a list."""
    from PIL import Image

    with Image.open(photo) as picture:
        return _bare_copy(picture, SMALL_SIDE, f"{name}-small")


def _bare_copy(picture: "Image.Image", longest: int, name: str) -> ContentFile:
    from PIL import Image

    picture.thumbnail((longest, longest))
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    written = BytesIO()
    bare.save(written, "JPEG", quality=QUALITY, optimize=True)
    return ContentFile(written.getvalue(), name=f"{name}.jpg")
